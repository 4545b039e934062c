"""One frame of one level worked out: members, checks, what it costs by the list."""
