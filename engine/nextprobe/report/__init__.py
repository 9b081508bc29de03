"""The report of a job, which its owner gets and both may sign."""
