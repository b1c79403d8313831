"""The words a description and a practice may speak, each born once in `grammar/vocabulary.table`."""

from linter.vocabulary.table import Vocabulary, Word, vocabulary

__all__ = ["Vocabulary", "Word", "vocabulary"]
