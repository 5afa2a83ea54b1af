"""What the customer's page is said in: a file of whole sentences for each language, and how it writes numbers.

Each `CODE.toml` beside this file is a language; a further one is a further file. English's words for measures and
for the keys of a setup are those of their catalogues, so that they stand once; its file holds the rest.
"""

from .catalogue import ENGLISH, codes, language, messages_of
from .said import Language

__all__ = ["ENGLISH", "Language", "codes", "language", "messages_of"]
