"""See the etched pattern of a two-powder mosaic blade before the can is welded, forged and ground.

Everything a page, a script or the command line needs is here; ``__init__.pyi`` lists it. Names are looked up when
first used, so that ``import preview`` costs nothing.

Examples
--------
>>> import preview
>>> job = preview.load_job("demo_patterns/plain_start.toml")
>>> shown = preview.preview(job, px_per_mm=2)
>>> shown.picture.shape
(208, 392)
"""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
