"""The machine code of numba's loops, kept between processes: LLVM loads it in a twentieth of the half second that numba
takes to load itself and what it has compiled.

A loop fit for that works on arrays and numbers alone, makes no arrays and raises nothing, so that nothing of numba is
left in its code; another runs by numba, as one does on machines on which this was not tried. What is kept is known by
the loop's source, the processor, LLVM's version and the arguments' types, and sealed with a digest: it is loaded only
where that is right and nobody else can write it, and is made again where it is gone.
"""

from __future__ import annotations

import contextlib
import ctypes
import hashlib
import os
import platform
import sys
from collections.abc import Callable
from functools import lru_cache
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import numpy as np

from tackside.errors import StorageTrouble
from tackside.files.atomic import passing_folder, write_atomically

FORM = 2  # to be raised where the code is made in another way
MOST_KEPT = 32  # files of some 5 kB; the oldest go
NAME = "loop"
_SUFFIX = ".loop"
_ELF = b"\x7fELF"  # how an object file begins; LLVM ends the process over what is none
_IS_TRIED = sys.platform == "linux" and platform.machine() == "x86_64"
_CTYPES = {"i8": ctypes.c_int64, "f8": ctypes.c_double, "f4": ctypes.c_float}
_NUMBA = {"i8": "int64", "f8": "float64", "f4": "float32"}


def loop(module: str, name: str, *like: Any) -> Callable[..., None]:
    """The loop ``name`` of one of our modules, for arguments of the types of ``like``: contiguous arrays and numbers.

    It lets go of the interpreter's lock, whichever way it runs.
    """
    return _loop(module, name, tuple(map(_kind, like)))


def run(module: str, name: str, *given: Any) -> None:
    """Call the loop ``name`` of one of our modules once with what is ``given``."""
    loop(module, name, *given)(*given)


def _kind(value: Any) -> str:
    """``u1:2`` for an array of bytes of two axes, ``f4`` for a number."""
    if isinstance(value, np.ndarray):
        return f"{value.dtype.str[1:]}:{value.ndim}"
    return "i8" if isinstance(value, int) else np.asarray(value).dtype.str[1:]


@lru_cache(maxsize=32)
def _loop(module: str, name: str, kinds: tuple[str, ...]) -> Callable[..., None]:
    place = _place(module, name, kinds) if _IS_TRIED else None
    if place is not None and (code := _kept(place)) is not None:
        with contextlib.suppress(RuntimeError, OSError):  # LLVM refuses it: as if it were not there
            return _loaded(code, kinds)
    by_numba: Callable[..., None] = getattr(import_module(module), name)
    if place is not None:
        code = _compiled(by_numba, kinds)
        if code is not None:
            _keep(place, code)
    return by_numba


def _place(module: str, name: str, kinds: tuple[str, ...]) -> Path | None:
    """The file of a loop's code; None where its source can't be had."""
    import llvmlite  # it comes with numba
    from llvmlite import binding

    spec = find_spec(module)
    try:
        source = Path(spec.origin).read_bytes() if spec is not None and spec.origin is not None else None
    except OSError:  # in a bundle
        source = None
    if source is None:
        return None
    host = f"{binding.get_host_cpu_name()} {binding.get_host_cpu_features().flatten()}"
    words = f"{FORM} {name} {' '.join(kinds)} {llvmlite.__version__} {host}"
    try:
        folder = passing_folder() / "loops"
    except RuntimeError:  # nobody's home
        return None
    return folder / f"{hashlib.sha256(words.encode() + source).hexdigest()[:32]}{_SUFFIX}"


def _kept(place: Path) -> bytes | None:
    """The code in a file, where its digest is right, and neither it nor its folder is another's to write."""
    try:
        if any(
            each.stat().st_uid != os.getuid() or each.stat().st_mode & 0o022 for each in (place.parent, place)
        ):
            return None
        data = place.read_bytes()
    except OSError:
        return None
    digest, code = data[:32], data[32:]
    is_whole = hashlib.sha256(code).digest() == digest and code.startswith(_ELF)
    return code if is_whole else None


def _keep(place: Path, code: bytes) -> None:
    """Write the code for later processes; where that fails they do without."""
    with contextlib.suppress(OSError, StorageTrouble):
        place.parent.mkdir(parents=True, exist_ok=True)
        place.parent.chmod(0o700)
        write_atomically(place, hashlib.sha256(code).digest() + code)
        place.chmod(0o600)
        kept = sorted(place.parent.glob(f"*{_SUFFIX}"), key=lambda each: each.stat().st_mtime)
        for old in kept[:-MOST_KEPT]:
            old.unlink(missing_ok=True)


def _loaded(code: bytes, kinds: tuple[str, ...]) -> Callable[..., None]:
    """A loop from its code. Raises RuntimeError where LLVM does not take it."""
    from llvmlite import binding

    binding.initialize_native_target()
    binding.initialize_native_asmprinter()
    machine = binding.Target.from_default_triple().create_target_machine(jit=True)
    engine = binding.create_mcjit_compiler(binding.parse_assembly(""), machine)
    engine.add_object_file(binding.ObjectFileRef.from_data(code))
    engine.finalize_object()
    address = engine.get_function_address(NAME)
    if not address:
        raise RuntimeError("no such loop in it")
    types: list[Any] = []
    for kind in kinds:
        dtype, _, axes = kind.partition(":")
        types += [ctypes.c_void_p, *[ctypes.c_int64] * int(axes)] if axes else [_CTYPES[dtype]]
    function = ctypes.CFUNCTYPE(None, *types)(address)

    def call(*arguments: Any) -> None:
        if tuple(map(_kind, arguments)) != kinds:
            raise TypeError(f"a loop for {kinds}")
        words: list[Any] = []
        for each in arguments:
            if isinstance(each, np.ndarray):
                if not each.flags.c_contiguous:
                    raise TypeError("a loop works on contiguous arrays")
                words += [each.ctypes.data, *each.shape]
            else:
                words.append(each)
        function(*words)

    call.engine = engine  # type: ignore[attr-defined]  # its memory holds the code
    return call


def _compiled(by_numba: Callable[..., None], kinds: tuple[str, ...]) -> bytes | None:
    """The code of a loop, called with an address and the lengths of the axes for each array; None where anything of
    numba or Python is left in it."""
    from llvmlite import binding
    from numba import carray, cfunc, types  # type: ignore[attr-defined]  # the first is there all the same
    from numba.core.errors import NumbaError

    pointer: Any = types.CPointer
    asked: list[Any] = []
    names: list[str] = []
    given: list[str] = []
    for number, kind in enumerate(kinds):
        dtype, _, axes = kind.partition(":")
        lengths = [f"n{number}_{axis}" for axis in range(int(axes or 0))]
        names += [f"a{number}", *lengths]
        if axes:
            asked += [pointer(getattr(types, np.dtype(dtype).name)), *[types.int64] * len(lengths)]
            given.append(f"carray(a{number}, ({', '.join(lengths)},))")
        else:
            asked.append(getattr(types, _NUMBA[dtype]))
            given.append(f"a{number}")
    known: dict[str, Any] = {"by_numba": by_numba, "carray": carray}
    exec(f"def shim({', '.join(names)}):\n    by_numba({', '.join(given)})", known)
    try:
        made = cfunc(types.void(*asked))(known["shim"])
    except NumbaError:
        return None
    unit = binding.parse_assembly(made.inspect_llvm())
    for function in unit.functions:
        if function.name == made.native_name:
            function.name = NAME
        elif not function.is_declaration:
            function.linkage = "internal"  # so that what can't happen is seen not to, and goes
    machine = binding.Target.from_default_triple().create_target_machine(
        cpu=binding.get_host_cpu_name(), features=binding.get_host_cpu_features().flatten(), opt=3,
        reloc="pic", codemodel="default", jit=True,
    )  # fmt: skip
    tuning = binding.create_pipeline_tuning_options(speed_level=3)
    tuning.slp_vectorization = True  # like steps on neighbours, as on a pixel's channels, become one
    passes = binding.create_pass_builder(machine, tuning)
    passes.getModulePassManager().run(unit, passes)
    foreign = [
        each.name
        for each in (*unit.functions, *unit.global_variables)
        if each.is_declaration and not each.name.startswith("llvm.")
    ]
    return None if foreign else bytes(machine.emit_object(unit))
