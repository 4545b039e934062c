"""How closely calculation gives the published tables back: counted cell by cell, and written as a page."""
