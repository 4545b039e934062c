"""What is told beside the answer: other frames, what wishes and materials cost."""
