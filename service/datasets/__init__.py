"""Open quotes in partitioned Parquet data sets, repriced in one process or on a cluster."""
