"""What every sheet is made of: ink, letters, labels, dimensions, paper, the frame with its title and column."""
