"""The buck and the panels of the invented job."""

import numpy as np

from buckwright.geometry.mesh import triangle_areas
from buckwright.model.buck import (
    BarCut,
    Buck,
    BuckSpec,
    CuttingPlan,
    FrameMember,
    Piece,
    Post,
    Tack,
    Wire,
    WireSpec,
)
from buckwright.model.finding import Finding
from buckwright.model.panels import (
    Blank,
    Panel,
    Panels,
    PanelSpec,
    SheetStock,
)
from web import invented_panels
from web.invented_shape import departed, grid, true_lines, wing_point


def buck_spec():
    return BuckSpec(wires=(WireSpec(name="W1", region="body", line="belt left"),))


def _wire(place, name, points):
    axis = departed(points) * np.array([1.0, 0.99, 0.995])
    length = float(np.linalg.norm(np.diff(axis, axis=0), axis=1).sum())
    return Wire(
        name=f"W{place + 1}",
        line=name,
        region="body",
        side="whole",
        layer=place % 2,
        diameter=6.35,
        axis=axis,
        closed=False,
        length=length,
        cut_length=length + 20.0,
        set_in=4.4,
        least_radius=180.0 + 400.0 * place,
        form_radius=0.0 if place % 3 == 0 else 160.0,
        sprung=place % 3 == 0,
        mass=length * 0.2486e-3,
    )


def make_buck():
    wires = tuple(_wire(k, name, p) for k, (name, p) in enumerate(true_lines().items()))
    corners = [
        np.array([x, y, z])
        for x in (700.0, 2800.0)
        for y in (-450.0, 450.0)
        for z in (420.0, 1250.0)
    ]
    pairs = [
        (a, b)
        for a in range(8)
        for b in range(a + 1, 8)
        if np.count_nonzero(corners[a] != corners[b]) == 1
    ]
    members = tuple(
        FrameMember(
            name=f"F{k + 1}",
            start=corners[a],
            end=corners[b],
            cut_length=float(np.linalg.norm(corners[b] - corners[a])),
            mass=2.0,
        )
        for k, (a, b) in enumerate(pairs)
    )
    posts = tuple(
        Post(
            name=f"P{k + 1}",
            member="F1",
            wire="W2",
            start=np.array([x, 0.0, 1250.0]),
            end=np.array([x, 0.0, 1590.0]),
            cut_length=340.0,
            angle_at_wire_deg=88.0,
            mass=0.1,
        )
        for k, x in enumerate((900.0, 1500.0, 2100.0))
    )
    cut = BarCut(
        stock="6.35 mm rod",
        bar_length=6096.0,
        pieces=(
            Piece(name="W1", length=2120.0),
            Piece(name="W2", length=3400.0),
            Piece(name="P1", length=60.0),
        ),
        remnant=508.0,
    )
    plan = CuttingPlan(stock="6.35 mm rod", bars=(cut,), bars_bound=1, kerf=2.0, proven=True)
    tube = plan.model_copy(update={"stock": "25.4 mm square tube", "proven": False})
    tack = Tack(wires=("W1", "W2"), at=(710.0, 1650.0), point=np.array([1470.0, 0.0, 1600.0]))
    return Buck(
        wires=wires,
        tacks=(tack,),
        members=members,
        posts=posts,
        rod_plan=plan,
        tube_plan=tube,
        mass=31.4,
        frame_clearance=31.2,
        findings=(
            Finding(
                code="post-slants",
                where="P2",
                message="Post P2 meets its wire at 52 degrees.",
                remedy="Move the frame's rear station 80 mm back.",
            ),
        ),
    )


def panel_specs():
    return {
        "sheet": SheetStock(alloy="3003-H14", thickness=1.6),
        "panels": (PanelSpec(name="front wing crown", region="front wing"),),
    }


def make_panels():
    rows, columns = 40, 16
    u, v = np.meshgrid(np.linspace(0, 1, rows), np.linspace(-1, 1, columns), indexing="ij")
    triangles, edge = grid(rows, columns)
    flat = np.stack([1230.0 * (u - 0.5), 132.0 * v], axis=-1).reshape(-1, 2)
    outline = flat[edge]
    middle = flat[triangles].mean(axis=1)
    change = 0.05 * np.cos(middle[:, 1] / 60.0) - 0.02 + 0.01 * np.sin(middle[:, 0] / 200.0)
    vertices = wing_point(u, v).reshape(-1, 3)
    area = float(triangle_areas(vertices, triangles).sum())
    blank = Blank(
        panel="front wing crown",
        flat=flat,
        outline=outline * np.array([1.02, 1.08]),
        net_outline=outline,
        area_change=change,
        strain_major=np.log1p(np.abs(change)),
        strain_minor=-0.4 * np.log1p(np.abs(change)),
        major_direction=np.tile([1.0, 0.0], (len(triangles), 1)),
        bend_radius=np.full(len(vertices), 340.0),
        work_density=1.1e-3,
        area=area,
        blank_area=area * 0.985,
        flipped=0,
        areas=invented_panels.areas(vertices, triangles, flat),
        verdict=invented_panels.verdict(),
        work=invented_panels.work(),
        edges=invented_panels.edge_makes(),
        marks=invented_panels.marks(),
        notches=invented_panels.notches(),
        thickness=(1.54, 1.65),
        aim_words="Least forming work in all; at the worst place 3.7 %.",
        mass=1.4,
    )
    panel = Panel(
        name="front wing crown",
        region="front wing",
        side="left",
        spec="front wing crown",
        vertices=vertices,
        triangles=triangles,
        edges=invented_panels.rim(edge),
    )
    return Panels(
        panels=(panel,),
        blanks=(blank,),
        edge_vertices=(edge,),
        grids=(invented_panels.grid(vertices, flat),),
        papers=(invented_panels.paper(vertices),),
        layout=invented_panels.layout(blank.outline),
    )
