"""Cutting plans: which pieces are sawn from which length or sheet of stock, at least cost."""
