"""The kernel compiled: the same lines, a hundred times as fast.

Compiling takes up to twenty seconds once; what comes of it is kept in the folder that
NUMBA_CACHE_DIR names. A worker does it beside its first jobs, which run the kernel as it stands.
"""

from functools import cache
from importlib.util import find_spec, module_from_spec
from inspect import isfunction
from types import ModuleType
from typing import Any

DOORS = ("begin", "follow", "anneal")
_READY: list[ModuleType] = []


@cache
def compiled() -> ModuleType:
    """A second copy of the kernel, with each of its functions compiled when first called."""
    from numba import njit

    spec = find_spec("shop.core.plan.kernel")
    if spec is None or spec.loader is None:
        raise ImportError("the kernel is not there")
    module = module_from_spec(spec)
    spec.loader.exec_module(module)
    for name, function in list(vars(module).items()):
        if isfunction(function) and function.__module__ == module.__name__:
            # What only the kernel itself calls needs no way in from Python.
            ways: Any = {"no_cpython_wrapper": name not in DOORS, "no_cfunc_wrapper": True}
            setattr(module, name, njit(cache=True, nogil=True, **ways)(function))
    return module


def get_ready() -> None:
    """Compiles all that a search calls, or reads what an earlier run left."""
    from numba import float64, int64

    module = compiled()
    whole, real = int64[::1], float64[::1]
    module.begin.compile((whole, real))
    module.follow.compile((whole, whole))
    module.anneal.compile((whole, real, int64, float64, float64))
    _READY.append(module)


def is_ready() -> bool:
    """Whether a search could run compiled without waiting."""
    return bool(_READY)
