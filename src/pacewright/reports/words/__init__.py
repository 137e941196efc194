"""The words of pages and papers in another language: the English text is the key."""
