"""Does this member stand: by table and by calculation, side by side."""
