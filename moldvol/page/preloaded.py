"""Loads, by being imported, all that a worker needs: what is forked from the process that did so starts at once."""

from __future__ import annotations

import gc

from moldvol.page.answering import load_libraries

load_libraries()
gc.freeze()  # a worker that looked for garbage here would have to copy all that it shares
