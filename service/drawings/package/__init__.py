"""What a permit package says, as plain data: sections of blocks, made from a report and nothing else."""
