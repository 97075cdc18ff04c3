"""Forms: what people type, read into the domain's values and shown again just as typed."""
