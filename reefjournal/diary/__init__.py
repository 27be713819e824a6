"""The build diary: a start page and a page a month, static, offline, and safe with untrusted notes."""

from reefjournal.diary.writing import DiaryError, write

__all__ = ["DiaryError", "write"]
