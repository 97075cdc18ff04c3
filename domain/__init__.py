"""The trade, and nothing else.

The whole package is one sentence: a spec (what the user typed) expands into members and joints;
a joint has a mating face; a face takes slots; slots take keys; keys, plugs and glue are counted into
a takeoff. The flow is one way: ``spec -> assemblies -> faces -> planning -> takeoff``.

Rule of the package: the standard library, pydantic (for the spec) and the package itself are all it
imports. No web, no database, no clock, no files. ``tests/domain/test_purity.py`` holds it to that.
"""
