"""Phrase and kit files: text in, values out, all faults at once with their lines; values to text."""
