"""Know your printer: a plate that is printed and gauged, and the card that comes of its readings.

`stations/` are the things on the plate, one small file each; `plate` puts them together, `pack`
makes its files, `table` and `form` are its rows as CSV and on paper, `not_read` says what it cannot
tell. `fitting` takes a card from the readings (`bias`, `foot`, `limits`), `remarks` says what stays
and what does not fit, `residuals` draws what they leave, `changes` says what the new card changes
on recipes and in a drawer.
"""
