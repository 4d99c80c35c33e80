"""A case as a folder of plain files: read, write, and the same parts as JSON can hold them."""

from coreset.folder.plain import build, plain
from coreset.folder.reader import read
from coreset.folder.starter import start
from coreset.folder.writer import write

__all__ = ["build", "plain", "read", "start", "write"]
