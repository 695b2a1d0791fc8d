"""Binding a book: what is made of its phrases, which of it is out of date, and the making of it, in parallel."""
