"""The OpenAPI 3.1 document: written from handlers and wire types, tightened in one place, compared with the last."""
