"""What the pipeline and the pages ask: the record as far as a day concerns it, reports, progress."""
