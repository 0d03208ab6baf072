"""The skin as a STEP file: one trimmed B-spline face for each region, and what is done to it.

ISO 10303-21 text after AP214 ('automotive design'), millimetres, vehicle axes, in ASCII. Each
region is an open shell of its own, named. The surface goes on smoothly beyond its trimmed edge;
edges lie on their own face, so that neighbours meet within the tolerance in the file's head.
Turned edges, beads and louvres are shells of their own: 'flange of belt left'. The skin is open
beneath a bead or louvre, unless that runs round, over its edge, or over another.
"""

from buckwright.errors import JobError
from buckwright.files.part21 import Entities, quoted
from buckwright.files.scene import region_name
from buckwright.files.step_faces import add_face, add_patch, fit_region
from buckwright.files.step_treatments import openings_of, treatment_patches
from buckwright.model.skin import Skin

__all__ = ["step_text"]


def step_text(skin: Skin, *, name: str, stamp: str) -> str:
    """The file's text; `stamp` is its date and time, ISO 8601. The same skin gives the same text.

    The description in the head tells the greatest distance of the mesh from the surfaces. Raises
    JobError for an empty skin.
    """
    if not skin.regions:
        raise JobError("There is no skin to write.", "Span the skin first.")
    entities = Entities()
    context = _units(entities)
    models, most = [], 0.0
    for region in skin.regions:
        fitted = fit_region(region)
        most = max(most, fitted.off_most)
        label = region_name(region)
        face = add_face(entities, fitted, label, openings_of(skin, region))
        models.append(_model(entities, label, [face]))
    for label, patches in treatment_patches(skin):
        faces = [add_patch(entities, patch, label) for patch in patches]
        models.append(_model(entities, label, faces))
    _product(entities, models, context, name)
    said = f"Skin, millimetres; greatest distance of the mesh from the faces {most:.3f} mm"
    return "\n".join(
        [*_head(said, name, stamp), *entities.lines, "ENDSEC;", "END-ISO-10303-21;", ""]
    )


def _model(entities: Entities, label: str, faces: list[str]) -> str:
    shell = entities.add(f"OPEN_SHELL({quoted(label)},({','.join(faces)}))")
    return entities.add(f"SHELL_BASED_SURFACE_MODEL({quoted(label)},({shell}))")


def _head(said: str, name: str, stamp: str) -> list[str]:
    return [
        "ISO-10303-21;",
        "HEADER;",
        f"FILE_DESCRIPTION(({quoted(said)}),'2;1');",
        f"FILE_NAME({quoted(name)},{quoted(stamp)},(''),(''),'buckwright','buckwright','');",
        "FILE_SCHEMA(('AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }'));",
        "ENDSEC;",
        "DATA;",
    ]


def _units(entities: Entities) -> str:
    """The context of the shape: millimetres, radians, and how closely it is drawn."""
    length = entities.add("(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.))")
    angle = entities.add("(NAMED_UNIT(*)PLANE_ANGLE_UNIT()SI_UNIT($,.RADIAN.))")
    solid = entities.add("(NAMED_UNIT(*)SI_UNIT($,.STERADIAN.)SOLID_ANGLE_UNIT())")
    doubt = entities.add(
        f"UNCERTAINTY_MEASURE_WITH_UNIT(LENGTH_MEASURE(0.001),{length},"
        "'distance_accuracy_value','')"
    )
    return entities.add(
        "(GEOMETRIC_REPRESENTATION_CONTEXT(3)"
        f"GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT(({doubt}))"
        f"GLOBAL_UNIT_ASSIGNED_CONTEXT(({length},{angle},{solid}))"
        "REPRESENTATION_CONTEXT('vehicle axes','3D'))"
    )


def _product(entities: Entities, models: list[str], context: str, name: str) -> None:
    """The product that the shape belongs to; x rearward, y to the right, z up."""
    use = entities.add("APPLICATION_CONTEXT('automotive design')")
    entities.add(
        f"APPLICATION_PROTOCOL_DEFINITION('international standard','automotive_design',2000,{use})"
    )
    made_for = entities.add(f"PRODUCT_CONTEXT('',{use},'mechanical')")
    product = entities.add(f"PRODUCT({quoted(name)},{quoted(name)},'',({made_for}))")
    form = entities.add(f"PRODUCT_DEFINITION_FORMATION('','',{product})")
    stage = entities.add(f"PRODUCT_DEFINITION_CONTEXT('part definition',{use},'design')")
    definition = entities.add(f"PRODUCT_DEFINITION('design','',{form},{stage})")
    shape = entities.add(f"PRODUCT_DEFINITION_SHAPE('','',{definition})")
    origin = entities.add("CARTESIAN_POINT('',(0.,0.,0.))")
    up, rearward = entities.direction((0.0, 0.0, 1.0)), entities.direction((1.0, 0.0, 0.0))
    axes = entities.add(f"AXIS2_PLACEMENT_3D('',{origin},{up},{rearward})")
    drawn = entities.add(
        f"MANIFOLD_SURFACE_SHAPE_REPRESENTATION({quoted(name)},({','.join([axes, *models])}),"
        f"{context})"
    )
    entities.add(f"SHAPE_DEFINITION_REPRESENTATION({shape},{drawn})")
