"""The plan in force, and every one before it: taken, examined, kept, restored.

`store` is the door. `shelf` and `index` are the revisions on the disk, `examiner` judges a
plan in a process of its own, `watch` notices edits by hand.
"""
