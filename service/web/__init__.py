"""HTTP: one file a resource, what every answer has in common, and the OpenAPI document."""
