"""Pages as PDF: a template, data as JSON, pictures as SVG; the one place that calls the typesetter."""
