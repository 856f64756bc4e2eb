"""Pure engineering functions by topic: numbers in, numbers out, nothing remembered.

Plain numbers in SI units (or the unit in brackets in each docstring) go in, plain numbers come
out. Nothing here reads a file, knows a price or starts a solver, so the model and the audit can
rest on the same physics without sharing code. Import the topic that is needed; this package
imports none of them itself, so that the command starts fast.
"""
