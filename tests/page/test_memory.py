import subprocess
import sys

import pytest

COUNTED = """
import ctypes, sys, threading
from preview.page.memory import share_pools

if sys.argv[2] == "shared":
    share_pools()
library, together = ctypes.CDLL(None), threading.Barrier(12)
library.malloc.restype = library.fopen.restype = ctypes.c_void_p

def take():
    together.wait()
    library.malloc(1000)
    together.wait()

threads = [threading.Thread(target=take) for _ in range(12)]
[each.start() for each in threads]
[each.join() for each in threads]
told = ctypes.c_void_p(library.fopen(sys.argv[1].encode(), b"w"))
library.malloc_info(0, told)
library.fclose(told)
"""


@pytest.mark.skipif(sys.platform != "linux", reason="pools of memory are glibc's")
def test_threads_share_their_pools(tmp_path):
    pools = {}
    for way in ("shared", "each its own"):
        told = tmp_path / "info.xml"
        subprocess.run([sys.executable, "-c", COUNTED, told, way], check=True)
        pools[way] = told.read_text(encoding="ascii").count("<heap nr=")
    assert pools["shared"] <= 2 < pools["each its own"]
