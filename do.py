"""The way in, with nothing but Python: ``python3 do.py demo`` and ``python3 do.py test``.

    demo [OPTION…]      make the environment and run the whole job on an invented studio
    start [OPTION…]     make the environment and open the workbench in the browser
    tackside …          make the environment and run any Tackside command
    test [OPTION…]      make the environment with what the tests need, and run all tests; with --full its studies draw
                        all that they can: 200 kills for 50, 300 designs for 60, all scans for a share that goes by the
                        commit
    fuzz [OPTION…]      the parsers of what comes from outside, with inputs that find new ways through them: a minute
                        each, two at a time; --hours 1 for longer, --same for nearly the same each time, --help for the
                        rest (Linux, Python 3.11 to 3.13)
    lint                ruff, types, the floors, and that every licence has been looked at
    notice [--check]    NOTICE and docs/licences.md made again, from tools/licences.toml and the locks
    docs [OPTION…]      the documentation as a site, in build/site; --pictures takes its pictures again
    benchmark [NAME…]   what things cost beside a named peer, from benchmarks/ (all: about ten minutes)
    bundle [--try]      an application for people without Python, into dist/; --try starts it in a clean root
    lock                write the lock files again from pyproject.toml (asks the package registry)
    release             wheel, source archive, list of components and checksums into dist/

The environment lies in ``.venv`` beside this file. It is made once, and again when a lock file changes. Tackside's own
command lies in it: ``.venv/bin/tackside``, on Windows ``.venv\\Scripts\\tackside``.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import sys
import venv
from collections.abc import Sequence
from pathlib import Path

HERE = Path(__file__).resolve().parent
ENVIRONMENT = HERE / ".venv"
SCRIPTS = ENVIRONMENT / ("Scripts" if os.name == "nt" else "bin")
PYTHON = SCRIPTS / ("python.exe" if os.name == "nt" else "python")
STAMP = ENVIRONMENT / "installed-from"
LOCKS = {kind: HERE / "locks" / f"{kind}.txt" for kind in ("build", "run", "dev")}


def fingerprint(kind: str) -> str:
    """What the environment was installed from: the locks and this Python."""
    digest = hashlib.sha256(sys.version.encode())
    for file in (LOCKS["build"], LOCKS[kind]):
        digest.update(file.read_bytes())
    return f"{kind} {digest.hexdigest()}"


def is_installed(kind: str) -> bool:
    """Whether the environment holds at least what ``kind`` asks for; the dev lock includes the run lock."""
    if not STAMP.exists() or not PYTHON.exists():
        return False
    stamp = STAMP.read_text(encoding="utf-8")
    return stamp in {fingerprint(kind), fingerprint("dev")}


def say(words: str) -> None:
    """To standard error: standard output is the command's own, with --json one document."""
    print(words, file=sys.stderr, flush=True)


def run(*command: str | Path) -> None:
    subprocess.run([str(part) for part in command], check=True, cwd=HERE)


def make_environment(kind: str) -> None:
    if is_installed(kind):
        return
    say("Making the environment in .venv (the first time takes a few minutes)…")
    if ENVIRONMENT.exists():
        shutil.rmtree(ENVIRONMENT)
    venv.create(ENVIRONMENT, with_pip=True)
    pip = (PYTHON, "-m", "pip", "install", "--quiet", "--disable-pip-version-check")
    wheels = ("--require-hashes", "--only-binary", ":all:")
    run(*pip, *wheels, "--requirement", LOCKS["build"])
    # pyvips alone comes as source: it is built with the pinned tools, not with whatever is newest today.
    run(*pip, *wheels, "--no-binary", "pyvips", "--no-build-isolation", "--requirement", LOCKS[kind])
    link(PYTHON)
    STAMP.write_text(fingerprint(kind), encoding="utf-8")
    say(reached())


def link(python: Path) -> None:
    """Put the package and its command into an environment that holds the build lock: linked, not copied."""
    pip = (python, "-m", "pip", "install", "--quiet", "--disable-pip-version-check")
    run(*pip, "--no-index", "--no-deps", "--no-build-isolation", "--editable", HERE)


def reached(system: str = os.name) -> str:
    """How a person calls Tackside's own command on this system."""
    if system == "nt":
        return (
            "The command is .venv\\Scripts\\tackside. To call it tackside in this window, type\n"
            "    .venv\\Scripts\\activate"
        )
    return (
        "The command is .venv/bin/tackside. To call it tackside in this terminal, type\n"
        "    source .venv/bin/activate"
    )


def tackside(arguments: Sequence[str]) -> int:
    return subprocess.run([str(PYTHON), "-m", "tackside", *arguments], check=False).returncode


def test(arguments: Sequence[str]) -> int:
    from tests import services

    services.provide()
    # A worker more than cores: a fourth of a worker's time goes by in waiting for browsers, servers and databases.
    workers = ["-n", str(min((os.cpu_count() or 1) + 1, 4)), "--dist", "worksteal"]
    # The workers keep all cores busy: threads of the linear algebra beside them only wait for each other.
    alone = os.environ | {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}
    # What was compiled once is taken again by every worker, by what the tests start, and by the next run.
    alone.pop("PYTHONDONTWRITEBYTECODE", None)
    if "--full" in arguments:
        from tests.extent import FULL

        arguments = [each for each in arguments if each != "--full"]
        alone |= {FULL: "1"}
    return subprocess.run(
        [str(PYTHON), "-m", "pytest", *workers, *arguments], check=False, cwd=HERE, env=alone
    ).returncode


def fuzz(arguments: Sequence[str]) -> int:
    return subprocess.run([str(PYTHON), "-m", "tests.fuzz", *arguments], check=False, cwd=HERE).returncode


def lint() -> int:
    checks = (
        [str(SCRIPTS / "ruff"), "check", "."],
        [str(SCRIPTS / "ruff"), "format", "--check", "."],
        [str(SCRIPTS / "mypy")],
        [str(SCRIPTS / "lint-imports")],
        [str(PYTHON), "-m", "tools.notice", "--check"],
        [str(PYTHON), "-m", "tools.site.build", "--check"],
    )
    return max(subprocess.run(check, check=False, cwd=HERE).returncode for check in checks)


def release(arguments: Sequence[str]) -> int:
    return subprocess.run([str(PYTHON), "-m", "tools.release", *arguments], check=False, cwd=HERE).returncode


def notice(arguments: Sequence[str]) -> int:
    return subprocess.run([str(PYTHON), "-m", "tools.notice", *arguments], check=False, cwd=HERE).returncode


def docs(arguments: Sequence[str]) -> int:
    from_source = os.environ | {"PYTHONPATH": str(HERE / "src")}
    return subprocess.run(
        [str(PYTHON), "-m", "tools.site.build", *arguments], check=False, cwd=HERE, env=from_source
    ).returncode


def benchmark(names: Sequence[str]) -> int:
    """Run the benchmarks named, or all, one after the other; each prints its ratio."""
    found = {file.stem: file for file in sorted((HERE / "benchmarks").glob("*.py"))}
    unknown = [name for name in names if name not in found]
    if unknown:
        print(f"do.py: there is no benchmark {unknown[0]}; choose from {', '.join(found)}")
        return 2
    worst = 0
    for name in names or found:
        print(f"\n{name}", flush=True)
        worst = max(worst, subprocess.run([str(PYTHON), str(found[name])], check=False, cwd=HERE).returncode)
    return worst


def bundle(arguments: Sequence[str]) -> int:
    """The application for people without Python, made in an environment that holds nothing but what goes into it."""
    home = HERE / ".artifacts" / "bundle" / "venv"
    python = home / SCRIPTS.name / PYTHON.name
    stamp = home / "installed-from"
    lock = HERE / "locks" / "bundle.txt"
    wanted = fingerprint("build") + hashlib.sha256(lock.read_bytes()).hexdigest()
    if not stamp.exists() or stamp.read_text(encoding="utf-8") != wanted:
        print("Making the environment of the bundle (a few minutes)…", file=sys.stderr, flush=True)
        if home.exists():
            shutil.rmtree(home)
        venv.create(home, with_pip=True)
        pip = (python, "-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--require-hashes")
        run(*pip, "--only-binary", ":all:", "--requirement", LOCKS["build"])
        run(
            *pip,
            "--only-binary",
            ":all:",
            "--no-binary",
            "pyvips",
            "--no-build-isolation",
            "--requirement",
            lock,
        )
        stamp.write_text(wanted, encoding="utf-8")
    source = os.environ | {"PYTHONPATH": str(HERE / "src")}
    command = [str(python), "-m", "tools.bundle.build", *arguments]
    return subprocess.run(command, check=False, cwd=HERE, env=source).returncode


def lock() -> int:
    """Resolve once for every platform and Python from 3.11 on; hashes pin each file, the resolver's among them."""
    sources = {
        "build": ("--group", "build"),
        "run": ("pyproject.toml",),
        "dev": ("pyproject.toml", "--extra", "dev"),
    }
    for kind, source in sources.items():
        resolve = ("uv", "pip", "compile", *source, "--universal", "--python-version", "3.11")
        pinned = ("--generate-hashes", "--no-emit-index-url", "--no-header", "--quiet", "--output-file")
        run(PYTHON, "-m", *resolve, *pinned, f"locks/{kind}.txt")
    # What the bundle has in it is what everybody runs, at the same versions.
    source = ("pyproject.toml", "--group", "bundle", "--constraint", "locks/run.txt")
    resolve = ("uv", "pip", "compile", *source, "--universal", "--python-version", "3.11")
    run(PYTHON, "-m", *resolve, *pinned, "locks/bundle.txt")
    return 0


def main(arguments: Sequence[str]) -> int:
    if sys.version_info < (3, 11):  # noqa: UP036  the one check that an old Python must reach
        print(
            "do.py: this is Python "
            + sys.version.split()[0]
            + "; install Python 3.11 or later and run it with that"
        )
        return 2
    if not arguments or arguments[0] not in {
        "demo",
        "start",
        "tackside",
        "test",
        "fuzz",
        "lint",
        "notice",
        "docs",
        "benchmark",
        "bundle",
        "lock",
        "release",
    }:
        print(__doc__)
        return 0 if arguments in ([], ["--help"], ["-h"]) else 2
    task, rest = arguments[0], arguments[1:]
    try:
        if task == "bundle":
            return bundle(rest)
        make_environment("run" if task in {"demo", "start", "tackside"} else "dev")
        if task == "demo":
            code = tackside([task, *rest])
            if code == 0:
                say(reached())
            return code
        if task == "start":
            return tackside([task, *rest])
        if task == "tackside":
            return tackside(rest)
        if task == "test":
            return test(rest)
        if task == "fuzz":
            return fuzz(rest)
        if task == "benchmark":
            return benchmark(rest)
        if task == "notice":
            return notice(rest)
        if task == "release":
            return release(rest)
        if task == "docs":
            return docs(rest)
        return lint() if task == "lint" else lock()
    except subprocess.CalledProcessError as error:
        print(
            f"do.py: a step failed: {' '.join(map(str, error.cmd))}; "
            "fix what it says above, then run this again"
        )
        return 2
    except KeyboardInterrupt:
        return 130


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
