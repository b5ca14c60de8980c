"""The dry run: the plan carried out by the same code under a virtual clock."""
