"""Forms: what people type, read into the domain's values and shown again just as typed.

A field is named by its path in the spec, joined with points (``stock.width``, ``stock.front.0.1``), so
that a problem the domain finds leads to its field. ``fields`` has the words to describe a form;
``reader``, ``showing`` and ``views`` do the work for every form. ``filled`` is a form of plain fields in hand;
``reading`` and ``changing`` are for an assembly's, whose lists grow.
"""
