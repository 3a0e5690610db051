"""The drawer: the holders that exist, one document each in one folder.

The documents are the truth. Beside them lie a lock and an index; the index only makes the search
quick, and is made anew from the documents whenever it does not agree with them.
"""
