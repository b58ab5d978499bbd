"""Every notebook from its first cell to its last, and a class of twelve kernels: seconds and memory."""

import time

import nbformat
import psutil
import pytest
from conftest import NOTEBOOKS
from jupyter_client.manager import KernelManager
from nbclient import NotebookClient

NAMES = [path.stem for path in NOTEBOOKS]
CLASS = 12
MB = 2**20


@pytest.fixture
def folder(project_copy):
    return project_copy / "notebooks"


def ran(name, folder):
    """A notebook run in a kernel of its own, which goes on: the kernel, and seconds to start it and to run it."""
    (path,) = folder.glob(f"*/{name}.ipynb")
    book = nbformat.read(path, as_version=4)
    manager = KernelManager(kernel_name="python3")
    client = NotebookClient(book, km=manager, timeout=300, resources={"metadata": {"path": str(path.parent)}})
    began = time.perf_counter()
    client.start_new_kernel(cwd=str(path.parent))
    client.start_new_kernel_client()
    started = time.perf_counter()
    for place, cell in enumerate(book.cells):
        client.execute_cell(cell, place)
    return client, started - began, time.perf_counter() - started


def memory_mb(client) -> float:
    """What a kernel has for itself, and its share of what several have together."""
    return psutil.Process(client.km.provisioner.pid).memory_full_info().pss / MB


def end(client) -> None:
    client.kc.stop_channels()
    client.km.shutdown_kernel(now=True)


@pytest.mark.parametrize("name", NAMES)
def test_a_notebook_from_top_to_bottom(name, folder):
    client, start, run = ran(name, folder)
    print(f"\n{name}: kernel {start:.1f} s, cells {run:.1f} s, {memory_mb(client):.0f} MB")
    end(client)
    assert run < 60 * start


def test_a_class_of_twelve_kernels_at_once(folder):
    clients = [ran("01_order_to_bench", folder)[0] for _ in range(CLASS)]
    sizes = [memory_mb(client) for client in clients]
    print(f"\n{CLASS} kernels with the order panel open: {sum(sizes):.0f} MB, {sum(sizes) / CLASS:.0f} MB each")
    for client in clients:
        end(client)
    assert max(sizes) < 2.0 * min(sizes)
