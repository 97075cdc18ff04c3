"""Mating faces: their region of wood, and where in it a slot may go.

A region is seen as (x, v): x across the stock from the outer or reference edge, v along the slot from
the entry edge. Knows nothing of keys or of assemblies.
"""
