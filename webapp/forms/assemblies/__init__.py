"""Forms of the five kinds of assembly: described as data, read into specs, shown again as typed.

A field is named by its path in the spec, joined with points (``stock.width``, ``rows.0.opening``), so
that a problem the domain finds leads to its field. One module a kind; ``fields`` has the words to
describe one, ``reading``, ``showing``, ``changing`` and ``views`` do the work for all five.
"""
