"""A case as a folder of plain files: read, write, and the same parts as JSON can hold them."""

from coreset.store.folder.plain import build, plain
from coreset.store.folder.reader import read
from coreset.store.folder.starter import start
from coreset.store.folder.writer import write

__all__ = ["build", "plain", "read", "start", "write"]
