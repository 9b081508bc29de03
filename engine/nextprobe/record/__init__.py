"""The durable record of a job: its events, their chain, and the store that keeps them.

``nextprobe.record.store`` is imported on its own, since it loads SQLite.
"""

from nextprobe.record.events import Event, verify_chain
from nextprobe.record.jobs import Job

__all__ = ["Event", "Job", "verify_chain"]
