"""The package as it is installed: from a wheel in an empty environment, and from the tree it is worked on in.

The wheel is built and installed without a network. What the package depends on is lent to the empty environment by a
path file; the package itself is not, as a path file of a lent folder is not read.
"""

import importlib.util
import json
import os
import subprocess
import sys
import sysconfig
import venv
import zipfile
from pathlib import Path

import pytest
from needs import need

import drumgen
from drumgen.spec.loading import shipped_kits

ROOT = Path(__file__).parents[2]
KITS = tuple(sorted(path.stem for path in (ROOT / "kits").glob("*.toml")))

LOADS_ALL = """
import json, drumgen
from drumgen.spec.loading import load_kit, shipped_kits
print(json.dumps([drumgen.__file__, [load_kit(name).name for name in shipped_kits()]]))
"""


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    need(importlib.util.find_spec("hatchling"), "hatchling")
    folder = tmp_path_factory.mktemp("wheel")
    options = ["--quiet", "--no-index", "--no-deps", "--no-build-isolation", "--wheel-dir", str(folder)]
    build = [sys.executable, "-m", "pip", "wheel", *options, str(ROOT)]
    subprocess.run(build, check=True, capture_output=True, timeout=60)
    (built,) = folder.glob("*.whl")
    return built


def test_the_wheel_holds_the_package_its_kits_and_its_types_and_nothing_else(wheel: Path) -> None:
    names = zipfile.ZipFile(wheel).namelist()
    assert {f"drumgen/kits/{name}.toml" for name in KITS} == {name for name in names if name.endswith(".toml")}
    assert "drumgen/py.typed" in names
    assert {name.split("/")[0] for name in names} == {"drumgen", f"drumgen-{drumgen.__version__}.dist-info"}


def test_a_wheel_in_an_empty_environment_finds_every_kit(wheel: Path, tmp_path: Path) -> None:
    home = tmp_path / "empty"
    venv.create(home, with_pip=False, symlinks=os.name != "nt")
    scheme = {"base": str(home), "platbase": str(home)}
    packages = Path(sysconfig.get_path("purelib", "venv", vars=scheme))
    zipfile.ZipFile(wheel).extractall(packages)  # as an installer does for a wheel of plain Python
    (packages / "lent.pth").write_text(f"{sysconfig.get_path('purelib')}\n{sysconfig.get_path('platlib')}\n")
    python = Path(sysconfig.get_path("scripts", "venv", vars=scheme)) / Path(sys.executable).name
    run = subprocess.run(
        [python, "-I", "-c", LOADS_ALL], cwd=tmp_path, check=True, capture_output=True, text=True, timeout=60
    )
    file, kits = json.loads(run.stdout)
    assert Path(file).is_relative_to(home)
    assert tuple(kits) == KITS


def test_an_editable_install_finds_every_kit_beside_the_package(tmp_path: Path) -> None:
    assert shipped_kits() == KITS
    if not Path(drumgen.__file__).is_relative_to(ROOT):
        pytest.skip("the package under test is not an editable install")
    run = subprocess.run(
        [sys.executable, "-I", "-c", LOADS_ALL], cwd=tmp_path, check=True, capture_output=True, text=True, timeout=60
    )
    assert tuple(json.loads(run.stdout)[1]) == KITS
