"""Paper: a project's schedule, keys, members, part labels and marking strips as PDF.

``render`` is pure: the same project, takeoff and heading give the same bytes. It knows no store and no
clock. Every document is plain data made here and set by a typst template in ``templates/papers``.
"""
