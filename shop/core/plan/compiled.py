"""The kernels compiled: the same lines, a hundred times as fast.

Compiling takes up to twenty seconds once; what comes of it is kept in the folder that
NUMBA_CACHE_DIR names. A worker does it beside its first jobs, which run them as they stand.
"""

from functools import cache
from importlib.util import find_spec, module_from_spec
from inspect import isfunction
from types import ModuleType
from typing import Any

DOORS = {
    "kernel": ("begin", "follow", "flag_kept", "anneal"),
    "critical": ("begin", "climb", "learn"),
}
_READY: list[ModuleType] = []


@cache
def compiled(name: str) -> ModuleType:
    """A second copy of a kernel, with each of its functions compiled when first called."""
    from numba import njit

    spec = find_spec(f"shop.core.plan.{name}")
    if spec is None or spec.loader is None:
        raise ImportError(f"the kernel “{name}” is not there")
    module = module_from_spec(spec)
    spec.loader.exec_module(module)
    for own, function in list(vars(module).items()):
        if isfunction(function) and function.__module__ == module.__name__:
            # What only the kernel itself calls needs no way in from Python.
            ways: Any = {"no_cpython_wrapper": own not in DOORS[name], "no_cfunc_wrapper": True}
            setattr(module, own, njit(cache=True, nogil=True, **ways)(function))
    return module


def get_ready() -> None:
    """Compiles all that a search calls, or reads what an earlier run left."""
    from numba import float64, int64

    kernel, critical = compiled("kernel"), compiled("critical")
    whole, real = int64[::1], float64[::1]
    kernel.begin.compile((whole, real))
    kernel.follow.compile((whole, whole))
    kernel.flag_kept.compile((whole, real))
    kernel.anneal.compile((whole, real, int64, float64, float64))
    critical.begin.compile((whole,))
    critical.climb.compile((whole, int64))
    critical.learn.compile((whole, whole))
    _READY.append(kernel)


def is_ready() -> bool:
    """Whether a search could run compiled without waiting."""
    return bool(_READY)
