"""A support as a CalculiX model of solid bars and a membrane, and what to read from its answer.

Bars are hexahedra with mitred corners, rails hexahedra tied to the bars' inner faces, the canvas eight-node
membranes on the lips: no beam theory, no rigid knots. Timber is orthotropic along each piece with no Poisson
effect; prestress comes from cooling the canvas.
"""

from __future__ import annotations

import shutil
import subprocess
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

CCX = shutil.which("ccx")


@dataclass
class Deck:
    """Nodes merged by place, elements by kind, and lines to add."""

    nodes: dict[tuple[int, int, int], int] = field(default_factory=dict)
    places: list[tuple[float, float, float]] = field(default_factory=list)
    solids: dict[str, list[list[int]]] = field(default_factory=dict)
    membranes: list[list[int]] = field(default_factory=list)
    cloads: list[tuple[int, int, float]] = field(default_factory=list)

    def node(self, x: float, y: float, z: float, *, space: int = 0) -> int:
        key = (round(x * 1e4) + space * 10**9, round(y * 1e4), round(z * 1e4))
        if key not in self.nodes:
            self.nodes[key] = len(self.places) + 1
            self.places.append((x, y, z))
        return self.nodes[key]


# corners 1-8 then edge middles 9-20 of a twenty-node brick in (s, a, f), each coordinate 0, 1/2 or 1
_BRICK = [
    (0, 0, 0), (2, 0, 0), (2, 2, 0), (0, 2, 0), (0, 0, 2), (2, 0, 2), (2, 2, 2), (0, 2, 2),
    (1, 0, 0), (2, 1, 0), (1, 2, 0), (0, 1, 0), (1, 0, 2), (2, 1, 2), (1, 2, 2), (0, 1, 2),
    (0, 0, 1), (2, 0, 1), (2, 2, 1), (0, 2, 1),
]  # fmt: skip


def add_bar(deck: Deck, name: str, place, along: int, across: int, front: int, *, space: int = 0) -> None:  # type: ignore[no-untyped-def]
    """Bricks of one piece; ``place(s, a, f)`` maps the unit cube to mm."""
    bricks = []
    for i in range(along):
        for j in range(across):
            for k in range(front):
                corner = []
                for di, dj, dk in _BRICK:
                    s, a, f = (i + di / 2) / along, (j + dj / 2) / across, (k + dk / 2) / front
                    corner.append(deck.node(*place(s, a, f), space=space))
                bricks.append(corner)
    deck.solids[name] = bricks


@dataclass(frozen=True)
class SolidSupport:
    """What the deck is made from; the same numbers go to our engine."""

    width: float
    height: float
    thickness: float
    depth: float
    bevel: float = 0.0
    rails: tuple[float, ...] = ()
    rail_thickness: float = 21.0
    rail_depth: float = 30.0
    rail_drop: float = 2.0
    modulus: float = 8000.0
    shear_modulus: float = 500.0
    columns: int = 24
    rows: int = 16
    canvas: tuple[float, float, float, float] | None = None  # k_x, k_y, nu_xy (y narrowing per x), shear
    prestrain: tuple[float, float] = (0.0, 0.0)
    dead_load: float = 0.0
    middle_pieces: bool = False
    end_rails: bool = False
    hung_at: float = 0.0  # height of both hangers, on the middle lines of the short bars; 0: lying
    density: float = 0.0  # of the timber, tonne/mm³
    canvas_density: float = 0.0  # tonne/mm³ of a canvas 1 mm thick


def middles(support: SolidSupport) -> list[tuple[float, float, str, str]]:
    """Middle pieces: from, to, and what they meet."""
    half = support.rail_thickness / 2
    walls = [(support.thickness, support.thickness, "LEFT")]
    walls += [(x - half, x + half, f"RAIL{r}") for r, x in enumerate(support.rails)]
    walls += [(support.width - support.thickness, support.width - support.thickness, "RIGHT")]
    return [(a[1], b[0], a[2], b[2]) for a, b in pairwise(walls)]


def build(support: SolidSupport) -> tuple[Deck, list[str]]:
    """The deck's nodes, elements and the lines of the input file."""
    deck = Deck()
    w, h, t, d = support.width, support.height, support.thickness, support.depth
    nx, ny = support.columns, support.rows

    def level(a: float, f: float) -> float:
        return -d + f * (d - support.bevel * a)

    sides = {
        "BOTTOM": (lambda s, a, f: (a * t + s * (w - 2 * a * t), a * t, level(a, f)), nx),
        "RIGHT": (lambda s, a, f: (w - a * t, a * t + s * (h - 2 * a * t), level(a, f)), ny),
        "TOP": (lambda s, a, f: (w - a * t - s * (w - 2 * a * t), h - a * t, level(a, f)), nx),
        "LEFT": (lambda s, a, f: (a * t, h - a * t - s * (h - 2 * a * t), level(a, f)), ny),
    }
    for name, (place, along) in sides.items():
        add_bar(deck, name, place, along, 2, 4)
    rt, rd = support.rail_thickness, support.rail_depth
    for r, x in enumerate(support.rails):
        low = -d + support.rail_drop

        def rail(s: float, a: float, f: float, x: float = x, low: float = low) -> tuple[float, float, float]:
            return (x + rt / 2 - a * rt, t + s * (h - 2 * t), low + f * rd)

        add_bar(deck, f"RAIL{r}", rail, ny, 2, 3, space=r + 1)
    low = -d + support.rail_drop
    if support.end_rails:
        for k, high in enumerate((t + rt, w - t)):

            def end(s: float, a: float, f: float, high: float = high) -> tuple[float, float, float]:
                return (high - a * rt, t + s * (h - 2 * t), low + f * rd)

            add_bar(deck, f"ENDRAIL{k}", end, ny, 2, 3, space=20 + k)
    if support.middle_pieces:
        for k, (a0, a1, _, _) in enumerate(middles(support)):

            def middle(
                s: float, a: float, f: float, a0: float = a0, a1: float = a1
            ) -> tuple[float, float, float]:
                return (a0 + s * (a1 - a0), h / 2 - rt / 2 + a * rt, low + f * rd)

            add_bar(deck, f"MIDDLE{k}", middle, 8, 2, 3, space=30 + k)
    if support.canvas is not None:
        for j in range(ny):
            for i in range(nx):
                ring = [(0, 0), (2, 0), (2, 2), (0, 2), (1, 0), (2, 1), (1, 2), (0, 1)]
                deck.membranes.append(
                    [deck.node((i + di / 2) / nx * w, (j + dj / 2) / ny * h, 0.0) for di, dj in ring]
                )
    if support.dead_load:
        for name, (place, along) in sides.items():
            axis, sign = {"BOTTOM": (2, 1), "RIGHT": (1, -1), "TOP": (2, -1), "LEFT": (1, 1)}[name]
            length = w if name in ("BOTTOM", "TOP") else h
            for i in range(along):
                for m, share in ((0, 1 / 6), (1, 4 / 6), (2, 1 / 6)):
                    n = deck.node(*place((i + m / 2) / along, 0.0, 1.0))
                    deck.cloads.append((n, axis, sign * support.dead_load * length / along * share))
    return deck, _lines(deck, support)


def _lines(deck: Deck, support: SolidSupport) -> list[str]:
    out = ["*NODE, NSET=NALL"]
    out += [f"{i + 1}, {x:.6f}, {y:.6f}, {z:.6f}" for i, (x, y, z) in enumerate(deck.places)]
    number = 0
    for name, bricks in deck.solids.items():
        out.append(f"*ELEMENT, TYPE=C3D20R, ELSET={name}")
        for nodes in bricks:
            number += 1
            out.append(", ".join(map(str, [number, *nodes[:10]])) + ",")
            out.append(", ".join(map(str, nodes[10:])))
    if deck.membranes:
        out.append("*ELEMENT, TYPE=M3D8, ELSET=CLOTH")
        for nodes in deck.membranes:
            number += 1
            out.append(", ".join(map(str, [number, *nodes])))
    e, g = support.modulus, support.shear_modulus
    out += [
        "*MATERIAL, NAME=WOOD",
        "*ELASTIC, TYPE=ENGINEERING CONSTANTS",
        f"{e}, {e}, {e}, 0., 0., 0., {g}, {g},",
        f"{g}, 0.",
        "*EXPANSION, TYPE=ISO",
        "0.",
        *(["*DENSITY", f"{support.density:E}"] if support.density else []),
    ]
    for name, axes in (("ALONGX", "1,0,0,0,1,0"), ("ALONGY", "0,1,0,-1,0,0")):
        out += [f"*ORIENTATION, NAME={name}, SYSTEM=RECTANGULAR", axes]
    for name in deck.solids:
        along = "ALONGX" if name in ("BOTTOM", "TOP") or name.startswith("MIDDLE") else "ALONGY"
        out.append(f"*SOLID SECTION, ELSET={name}, MATERIAL=WOOD, ORIENTATION={along}")
    if support.canvas is not None:
        kx, ky, nu, shear = support.canvas
        ex, ey = support.prestrain
        out += [
            "*MATERIAL, NAME=CANVAS",
            "*ELASTIC, TYPE=ENGINEERING CONSTANTS",
            f"{kx}, {ky}, {ky}, {nu}, 0., 0., {shear}, {shear},",
            f"{shear}, 0.",
            "*EXPANSION, TYPE=ORTHO",
            f"{ex}, {ey}, 0.",
            *(["*DENSITY", f"{support.canvas_density:E}"] if support.canvas_density else []),
            "*MEMBRANE SECTION, ELSET=CLOTH, MATERIAL=CANVAS, ORIENTATION=ALONGX",
            "1.0",
        ]
    out += _ties(deck, support)
    out += ["*BOUNDARY", *_held(deck, support)]
    out += ["*INITIAL CONDITIONS, TYPE=TEMPERATURE", "NALL, 0."]
    out += ["*STEP", "*STATIC"]
    if support.canvas is not None:
        out += ["*TEMPERATURE", "NALL, -1."]
    if support.density:
        out += ["*DLOAD", *(f"{name}, GRAV, 9810., 0., -1., 0." for name in [*deck.solids, "CLOTH"])]
    if deck.cloads:
        out += ["*CLOAD"]
        out += [f"{n}, {axis}, {value:.9f}" for n, axis, value in deck.cloads]
    out += ["*NODE FILE, OUTPUT=2D", "U", "*EL FILE", "S", "*END STEP"]
    return out


def _held(deck: Deck, support: SolidSupport) -> list[str]:
    """Six supports: three corners lying, or two hangers and the lower edge on the wall."""
    w, h, t, d = support.width, support.height, support.thickness, support.depth
    if not support.hung_at:
        corner = [deck.node(0, 0, 0), deck.node(w, 0, 0), deck.node(0, h, 0)]
        return [f"{corner[0]}, 1, 3", f"{corner[1]}, 2, 3", f"{corner[2]}, 3, 3"]
    middle = -d / 2 - support.bevel / 4  # of the section, where a brick has a node
    spots = {
        n: p
        for brick in deck.solids["LEFT"] + deck.solids["RIGHT"]
        for n in brick
        for p in [deck.places[n - 1]]
    }
    left, right = (
        min(
            spots,
            key=lambda n: np.hypot(
                np.hypot(spots[n][0] - x, spots[n][1] - support.hung_at), spots[n][2] - middle
            ),
        )
        for x in (t / 2, w - t / 2)
    )
    foot = deck.solids["BOTTOM"]
    wall = min(
        (n for brick in foot for n in brick),
        key=lambda n: np.hypot(*(deck.places[n - 1][:2] - np.array([w / 2, t / 2]))),
    )
    return [f"{left}, 1, 3", f"{right}, 2, 3", f"{wall}, 3, 3"]


_FACES = ((0, 1, 2, 3), (4, 7, 6, 5), (0, 4, 5, 1), (1, 5, 6, 2), (2, 6, 7, 3), (3, 7, 4, 0))


def _face(deck: Deck, name: str, axis: int, at: float, near: tuple[float, float] | None = None) -> list[str]:
    """Element faces of a piece that lie in a plane; ``near``: only within so much of a place along y."""
    out = []
    for n, brick in zip(_numbers(deck)[name], deck.solids[name], strict=True):
        places = np.array([deck.places[i - 1] for i in brick[:8]])
        if near is not None and abs(places[:, 1].mean() - near[0]) > near[1]:
            continue
        for k, corners in enumerate(_FACES):
            if np.allclose(places[list(corners), axis], at, atol=1e-3):
                out.append(f"{n}, S{k + 1}")
    return out


def _on(deck: Deck, name: str, axis: int, at: float) -> set[int]:
    return {n for brick in deck.solids[name] for n in brick if abs(deck.places[n - 1][axis] - at) < 1e-3}


def _ties(deck: Deck, support: SolidSupport) -> list[str]:
    """Every inner piece held to what it meets, face to face."""
    w, h, t = support.width, support.height, support.thickness
    out: list[str] = []
    surfaces: list[str] = []

    def tie(nodes: set[int], surface: str) -> None:
        number = len([line for line in out if line.startswith("*TIE")])
        out.extend([f"*SURFACE, NAME=N{number}, TYPE=NODE", *(f"{n}," for n in sorted(nodes))])
        out.extend([f"*TIE, NAME=T{number}, POSITION TOLERANCE=1.0", f"N{number}, {surface}"])

    for side, axis, at in (("BOTTOM", 1, t), ("TOP", 1, h - t), ("LEFT", 0, t), ("RIGHT", 0, w - t)):
        surfaces += [f"*SURFACE, NAME=IN{side}, TYPE=ELEMENT", *_face(deck, side, axis, at)]
    for name in deck.solids:
        if name.startswith("RAIL"):
            tie(_on(deck, name, 1, t), "INBOTTOM")
            tie(_on(deck, name, 1, h - t), "INTOP")
        if name.startswith("ENDRAIL"):
            along = _on(deck, name, 0, t if name.endswith("0") else w - t)
            tie(along, "INLEFT" if name.endswith("0") else "INRIGHT")
            tie(_on(deck, name, 1, t) - along, "INBOTTOM")
            tie(_on(deck, name, 1, h - t) - along, "INTOP")
    if support.middle_pieces:
        reach = (h / 2, 2.5 * h / support.rows)
        for k, (a0, a1, first, second) in enumerate(middles(support)):
            for at, met, end in ((a0, first, "A"), (a1, second, "B")):
                label = f"M{k}{end}"
                surfaces += [f"*SURFACE, NAME={label}, TYPE=ELEMENT", *_face(deck, met, 0, at, reach)]
                tie(_on(deck, f"MIDDLE{k}", 0, at), label)
    return [*surfaces, *out]


def _numbers(deck: Deck) -> dict[str, range]:
    out, first = {}, 1
    for name, bricks in deck.solids.items():
        out[name] = range(first, first + len(bricks))
        first += len(bricks)
    return out


def run(lines: list[str], folder: Path, name: str = "case") -> tuple[dict[int, Floats], dict[int, Floats]]:
    """Runs ccx; displacements (3,) and stresses (6: xx yy zz xy yz zx, global or local) by node."""
    (folder / f"{name}.inp").write_text("\n".join(lines) + "\n")
    assert CCX is not None
    done = subprocess.run([CCX, name], cwd=folder, capture_output=True, text=True, timeout=300, check=False)
    answer = folder / f"{name}.frd"
    if not answer.exists() or answer.stat().st_size < 1000:
        raise RuntimeError(done.stdout[-2000:])
    return _read(answer)


def _read(path: Path) -> tuple[dict[int, Floats], dict[int, Floats]]:
    fields: dict[str, dict[int, Floats]] = {"DISP": {}, "STRESS": {}}
    current: str | None = None
    with path.open() as lines:
        for line in lines:
            if line.startswith(" -4"):
                current = line.split()[1]
            elif line.startswith(" -3"):
                current = None
            elif line.startswith(" -1") and current in fields:
                node = int(line[3:13])
                values = [float(line[i : i + 12]) for i in range(13, len(line.rstrip()), 12)]
                fields[current][node] = np.array(values)
    return fields["DISP"], fields["STRESS"]


def version() -> str:
    """What the program calls itself."""
    assert CCX is not None
    said = subprocess.run([CCX, "-v"], capture_output=True, text=True, timeout=60, check=False).stdout
    return said.strip().rpartition(" ")[2]


def section_movement(
    deck: Deck, moved: dict[int, Floats], support: SolidSupport, side: str
) -> dict[str, float]:
    """At the middle of a bar: lip pulled in, axis pulled in, turning in, and movement to the front."""
    w, h, t = support.width, support.height, support.thickness
    axis, at, wall, sign = {
        "BOTTOM": (0, w / 2, 0.0, 1.0),
        "RIGHT": (1, h / 2, w, -1.0),
        "TOP": (0, w / 2, h, -1.0),
        "LEFT": (1, h / 2, 0.0, 1.0),
    }[side]
    across = 1 - axis
    names = {n for brick in deck.solids[side] for n in brick}
    rows = [
        (deck.places[n - 1], moved[n])
        for n in sorted(names)
        if abs(deck.places[n - 1][axis] - at) < 1e-3 and n in moved
    ]
    places, moves = np.array([p for p, _ in rows]), np.array([m[:3] for _, m in rows])
    inward, z = sign * moves[:, across], places[:, 2]
    inset = sign * (places[:, across] - wall)
    fit, *_ = np.linalg.lstsq(np.column_stack([np.ones(len(z)), z]), inward, rcond=None)
    rise, *_ = np.linalg.lstsq(np.column_stack([np.ones(len(z)), inset - t / 2]), moves[:, 2], rcond=None)
    return {"lip": float(fit[0]), "slope": float(fit[1]), "front": float(rise[0]), "tilt": float(rise[1])}


def lowest_vibration(support: SolidSupport, folder: Path) -> float:
    """Square of the lowest angular frequency under the prestrain, canvas nearly without mass. [1/s²]

    It falls in a straight line as tension grows and reaches nought where the frame winds up by itself.
    """
    _, lines = build(support)
    head = lines[: lines.index("*STEP")]
    for material, density in (("WOOD", "4.2E-10"), ("CANVAS", "1.E-14")):
        at = head.index(f"*MATERIAL, NAME={material}") + 1
        head[at:at] = ["*DENSITY", density]
    tail = ["*STEP, NLGEOM", "*STATIC", "*TEMPERATURE", "NALL, -1.", "*END STEP"]
    tail += ["*STEP, PERTURBATION", "*FREQUENCY", "1", "*NODE FILE, OUTPUT=2D", "U", "*END STEP"]
    (folder / "wind.inp").write_text("\n".join([*head, *tail]) + "\n")
    assert CCX is not None
    done = subprocess.run([CCX, "wind"], cwd=folder, capture_output=True, text=True, timeout=300, check=False)
    for line in (folder / "wind.dat").read_text().splitlines():
        parts = line.split()
        if len(parts) == 5 and parts[0] == "1":
            return float(parts[1])
    raise RuntimeError(done.stdout[-2000:])
