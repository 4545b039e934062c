"""Sawn lumber by NDS allowable stress design: sections, values, adjustments, members, columns, fasteners."""
