"""From LLVM's language to a function that can be called; once a machine, kept on its disk."""

import ctypes
import hashlib
import logging
import os
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Final

import llvmlite
import llvmlite.binding as llvm

from tradeopt.arrays import AnyArray, Array
from tradeopt.kernel.code import VectorFunctions

_VECTOR_LIBRARY: Final = "libmvec.so.1"
_VECTOR_PREFIXES: Final = {4: ("avx2", "_ZGVdN4"), 8: ("avx512dq", "_ZGVeN8")}
"""How the vector library calls functions of so many numbers, and what they ask of a processor."""

_SUFFIX: Final = ".o"
_DIGEST: Final = 32
"""Bytes of the check sum that a file begins with."""

KEPT: Final = 100
"""Files that are kept, some 300 kB each; the oldest go."""

_log = logging.getLogger(__name__)

_TWO_NUMBERS: Final = frozenset({"pow", "atan2"})
_VECTORS: Final = ("exp", "log", "pow", "expm1", "log2", "atan2")


class Machine:
    """A function in machine code.

    Parameters
    ----------
    text : str
        Module that defines `run`, see `Stretch`.
    folder : Path, optional
        Where machine code is kept for other processes.
    """

    def __init__(self, text: str, folder: Path | None) -> None:
        _start()
        target = _target()
        path = None if folder is None else folder / _name(text, target)
        known = _read(path)
        if not known:
            known = _made(text, target)
            if path is not None:
                _keep(path, known)
        self._engine = llvm.create_mcjit_compiler(llvm.parse_assembly(""), target)
        self._engine.add_object_file(llvm.ObjectFileRef.from_data(known))
        self._engine.finalize_object()
        address = self._engine.get_function_address("run")
        pointer = ctypes.c_void_p
        self._call = ctypes.CFUNCTYPE(None, ctypes.c_int64, pointer, pointer)(address)

    def __call__(self, count: int, arrays: Sequence[AnyArray], scratch: Array) -> None:
        """Work through designs; `Stretch` says which arrays have a row for each of them."""
        if not count:  # the loop over designs runs at least once
            return
        pointers = (ctypes.c_void_p * len(arrays))(*(one.ctypes.data for one in arrays))
        self._call(count, pointers, scratch.ctypes.data)


@cache
def vector_functions() -> VectorFunctions:
    """Return the vector functions of this machine, by the name of that of one number."""
    _start()
    try:
        llvm.load_library_permanently(_VECTOR_LIBRARY)
    except RuntimeError:  # another system's library has no such functions
        return {}
    able = llvm.get_host_cpu_features()
    prefixes = {
        width: prefix for width, (feature, prefix) in _VECTOR_PREFIXES.items() if able.get(feature)
    }
    found = {}
    for one in _VECTORS:
        end = f"{'vv' if one in _TWO_NUMBERS else 'v'}_{one}"
        names = {width: prefix + end for width, prefix in prefixes.items()}
        known = {width: name for width, name in names.items() if llvm.address_of_symbol(name)}
        if known:
            found[one] = known
    return found


@cache
def processor() -> str:
    """Name this processor: machine code gives the same on another one of the same name."""
    features = hashlib.sha256(llvm.get_host_cpu_features().flatten().encode())
    return f"{llvm.get_host_cpu_name()} {features.hexdigest()[:8]}"


@cache
def _start() -> None:
    llvm.initialize_native_target()
    llvm.initialize_native_asmprinter()


def _target() -> llvm.TargetMachine:
    target = llvm.Target.from_triple(llvm.get_process_triple())
    return target.create_target_machine(
        cpu=llvm.get_host_cpu_name(),
        features=llvm.get_host_cpu_features().flatten(),
        opt=2,
        jit=True,
    )


def _made(text: str, target: llvm.TargetMachine) -> bytes:
    module = llvm.parse_assembly(text)
    module.triple = target.triple
    module.data_layout = str(target.target_data)
    options = llvm.create_pipeline_tuning_options(speed_level=2)
    builder = llvm.create_pass_builder(target, options)
    builder.getModulePassManager().run(module, builder)
    made: bytes = target.emit_object(module)
    return made


def _read(path: Path | None) -> bytes:
    """Return what is kept, or nothing where it is not whole, as after a power cut."""
    try:
        kept = b"" if path is None else path.read_bytes()
    except OSError:
        return b""
    told, content = kept[:_DIGEST], kept[_DIGEST:]
    return content if hashlib.sha256(content).digest() == told else b""


def _name(text: str, target: llvm.TargetMachine) -> str:
    told = "\n".join((llvmlite.__version__, target.triple, processor()))
    return hashlib.sha256(f"{told}\n{text}".encode()).hexdigest() + _SUFFIX


def _keep(path: Path, content: bytes) -> None:
    """Put a file where others may read it at any time: whole, or not at all."""
    own = path.with_suffix(f".{os.getpid()}")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        own.write_bytes(hashlib.sha256(content).digest() + content)
        own.replace(path)
        oldest = sorted(path.parent.glob(f"*{_SUFFIX}"), key=lambda one: one.stat().st_mtime)
        for one in oldest[:-KEPT]:
            one.unlink(missing_ok=True)
    except OSError as error:  # it only saves time
        _log.info("machine code is not kept for other processes: %s", error)
