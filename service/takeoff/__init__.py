"""What to order for a frame: pieces, boards and how to cut them, hardware, concrete, decking, money."""
