"""What is seen of the running service from outside: metrics, traces, log lines, and the context of a trace."""
