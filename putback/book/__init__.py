"""The machine's book: everything known of one machine, to be read away from the bench.

`contents.py` gathers it as plain data; `markdown.py`, `html.py` and `pdf.py` set it.
"""
