"""The steps of the pipeline, each safe to run twice."""
