"""The open archive in words: what lies in it, for whoever opens it with other means."""

from __future__ import annotations

ABOUT = """\
This is everything that a Dovetally workshop has stored, for any program to read.

manifest.json     format and version of this archive; schema: the number of the data's own version;
                  rows: how many each table has; last_numbers: the last number that was given in a table,
                  so that none is given twice; files: the SHA-256 of every other file
tables/NAME.json  one table: a JSON array, a line for each row, an object of its columns, in the order
                  in which they were written. What is in a column called ..._json is JSON again, as text.
                  Lengths are whole nanometres, money whole minor units of its currency, moments in UTC.
papers/...        the issued PDFs as they were issued; a row names its own as {"file": "papers/..."}

The files are stored as they are, not compressed. `dovetally unarchive` takes the archive into an empty shop.
"""
"""The file README.txt of every archive."""
