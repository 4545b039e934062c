"""NDJSON calls: the request is read whole into a spool file, then answered line by line by a pool of processes."""
