"""Everything that is written out of an episode record: Markdown, HTML, PDF, captions, chapters, tables."""

from benchscribe.writers.outputs import EMBEDDED, WRITERS, Writer, write_outputs

__all__ = ["EMBEDDED", "WRITERS", "Writer", "write_outputs"]
