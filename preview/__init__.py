"""See the etched pattern of a two-powder mosaic blade before the can is welded, forged and ground.

Everything a page, a script or the command line needs is here; ``__init__.pyi`` lists it. Names are looked up when
first used, so that ``import preview`` costs nothing.

Examples
--------
>>> import preview
>>> job = preview.load_job("demo_patterns/plain_start.toml")
>>> shown = preview.preview(job, px_per_mm=2)
>>> shown.picture.shape
(208, 514, 3)
"""

import os

import lazy_loader

# before numpy is there: the blocks of rows have threads of their own, and a second one inside each small matrix product
# costs ten times what it saves
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
