"""A job: what its people decided (authored), and what follows from that (products)."""

from hashlib import sha256

from buckwright.model.buck import Buck, BuckSpec, BuiltWire, Remnant
from buckwright.model.checking import CheckResult, Survey
from buckwright.model.crowns import CrownLimits
from buckwright.model.fact import Fact
from buckwright.model.fields import FieldChoice, Softening
from buckwright.model.gauges import Gauges, GaugeSpec
from buckwright.model.holds import LineHold
from buckwright.model.lines import (
    BattenChoice,
    Datum,
    Departure,
    DimensionSpec,
    LineNetwork,
    LineSpec,
    Pin,
    PlacedLine,
    Placement,
)
from buckwright.model.louvres import LouvreSpec
from buckwright.model.openings import Openings, OpeningSpec
from buckwright.model.panels import Offcut, Panels, PanelSpec, SeamSpec, SheetStock
from buckwright.model.people import FitAnswer, FitQuestion
from buckwright.model.pictures import Calibration, Mat, MeasuredLine, PictureSource, Trace
from buckwright.model.plan import Plan, PlanSpec
from buckwright.model.points import MeasuredPoint
from buckwright.model.scans import ScanSource
from buckwright.model.skin import RegionSpec, Skin
from buckwright.model.tabled import LineTable
from buckwright.model.tapes import Tape, TapeScale
from buckwright.model.treatments import BeadSpec, EdgeTreatment, TrimSpec
from buckwright.model.views import ViewSpec

__all__ = ["STEPS", "STEP_INPUTS", "Job", "Products", "Reference", "step_digests"]

STEPS = (
    "pictures",
    "lines",
    "skin",
    "people",
    "openings",
    "buck",
    "panels",
    "gauges",
    "checking",
    "plan",
    "drawings",
)
"""The steps in the order in which they are computed; names are the same everywhere."""

STEP_INPUTS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "pictures": (("mat", "pictures", "traces", "lines"), ()),
    "lines": (
        (
            "scale",
            "lines",
            "datum",
            "departures",
            "pins",
            "battens",
            "holds",
            "tables",
            "tape_scale",
        ),
        ("pictures",),
    ),
    "skin": (
        (
            "regions",
            "edge_length",
            "softened",
            "scans",
            "trims",
            "edge_treatments",
            "beads",
            "louvres",
        ),
        ("lines",),
    ),
    "people": (("people",), ("skin",)),
    "openings": (("openings",), ("skin",)),
    "buck": (("buck", "built", "remnants", "people"), ("skin",)),
    "panels": (("panels", "sheet", "offcuts", "seams"), ("skin",)),
    "gauges": (("gauges",), ("skin",)),
    "checking": (("surveys", "check_tolerance"), ("skin",)),
    "plan": (("plan",), ("buck", "panels", "gauges", "checking")),
    "drawings": (("name", "revision", "tapes"), ("people", "plan", "openings")),
}
"""What each step depends on: fields of the job, and earlier steps."""

_TOLD_BY = {"skin": ("crowns", {"flat", "least_dip", "widest_dip"})}
"""Fields of the job, and what of them counts, that only change what is told of a step's answer,
not what is built on it: which dips of the skin are soft spots."""

_CAME_LATER = (
    "tables",
    "tapes",
    "tape_scale",
    "scans",
    "pins",
    "battens",
    "softened",
    "holds",
    "openings",
    "trims",
    "edge_treatments",
    "beads",
    "louvres",
)
"""Fields that are passed over while they are empty: answers kept before they were stay fresh."""


class Job(Fact):
    """One vehicle body being designed and built: everything that people decided."""

    name: str
    revision: str = "A"
    scale: float = 1.0
    """Full-size length over model length."""
    mat: Mat | None = None
    pictures: tuple[PictureSource, ...] = ()
    traces: tuple[Trace, ...] = ()
    views: tuple[ViewSpec, ...] = ()
    """Views without a mat, and drawings: no step's answer rests on them."""
    lines: tuple[LineSpec, ...] = ()
    tables: tuple[LineTable, ...] = ()
    """Tables of offsets that lines come from, beside pictures or in place of them."""
    tapes: tuple[Tape, ...] = ()
    """Lengths that were measured with a tape; they check the lines."""
    tape_scale: TapeScale | None = None
    """The scale as trusted tapes correct it, where somebody decided so."""
    datum: Datum | None = None
    departures: tuple[Departure, ...] = ()
    dimensions: tuple[DimensionSpec, ...] = ()
    """Dimensions to watch, beside those over all."""
    pins: tuple[Pin, ...] = ()
    """Where lines were moved by hand."""
    battens: tuple[BattenChoice, ...] = ()
    """How stiff the hand's battens are, where that was chosen."""
    holds: tuple[LineHold, ...] = ()
    """What lines are told to keep: straight runs, end directions, corners, tolerance, weights."""
    regions: tuple[RegionSpec, ...] = ()
    fields: tuple[FieldChoice, ...] = ()
    """Corrections by hand of the regions that the lines propose."""
    softened: tuple[Softening, ...] = ()
    """Regions whose lines may move together within a tolerance."""
    scans: tuple[ScanSource, ...] = ()
    """Scanned parts that stand in the skin as they are."""
    trims: tuple[TrimSpec, ...] = ()
    """Where pieces of regions are taken away, in order, once the skin is spanned."""
    edge_treatments: tuple[EdgeTreatment, ...] = ()
    """What becomes of edges of the skin, wherever a panel ends there."""
    beads: tuple[BeadSpec, ...] = ()
    """Stiffening beads and swages."""
    louvres: tuple[LouvreSpec, ...] = ()
    """Fields of louvres."""
    edge_length: float = 25.0
    """mm, of the skin's triangles."""
    crowns: CrownLimits = CrownLimits()
    """Where one crown ends and the next begins, and what counts as a dip."""
    people: FitQuestion | None = None
    openings: tuple[OpeningSpec, ...] = ()
    """Doors, windows, screens and lids."""
    buck: BuckSpec | None = None
    built: tuple[BuiltWire, ...] = ()
    """Wires that stand already."""
    remnants: tuple[Remnant, ...] = ()
    """Rod and tube in the rack."""
    sheet: SheetStock | None = None
    panels: tuple[PanelSpec, ...] = ()
    seams: tuple[SeamSpec, ...] = ()
    """Seams drawn on the skin, that panels name."""
    offcuts: tuple[Offcut, ...] = ()
    """Sheet in the rack."""
    gauges: tuple[GaugeSpec, ...] = ()
    surveys: tuple[Survey, ...] = ()
    check_tolerance: float = 1.5
    """mm beyond which a built panel has a high or low spot."""
    plan: PlanSpec | None = None


class Reference(Fact):
    """The lines step's whole answer: placed lines, the fair reference, the departed network."""

    placement: Placement
    placed: tuple[PlacedLine, ...]
    reference: LineNetwork
    """Fair, at full size, moved by hand where pins say so, before departures."""
    network: LineNetwork
    """After departures: what everything later is built on."""
    wheelbase: float
    """mm, after departures."""
    unpulled: LineNetwork | None = None
    """The reference as it was before the hand; None where there are no pins."""
    moved: LineNetwork | None = None
    """The reference with its families moved, before zones; None where none is."""
    zones: tuple[Departure, ...] | None = None
    """The plain stretch zones in force: those of the departures, cut where lines stay rigid."""

    def zones_in_force(self, departures: tuple[Departure, ...]) -> tuple[Departure, ...]:
        """The plain zones that the answer was made with; older answers hold none of their own."""
        if self.zones is not None:
            return self.zones
        return tuple(departure for departure in departures if departure.stretches)


class Products(Fact):
    """What has been computed so far; a step that has not run is None or empty."""

    calibration: Calibration | None = None
    measured: tuple[MeasuredLine, ...] = ()
    points: tuple[MeasuredPoint, ...] = ()
    """Single places marked in the pictures."""
    lines: Reference | None = None
    skin: Skin | None = None
    people: FitAnswer | None = None
    openings: Openings | None = None
    buck: Buck | None = None
    panels: Panels | None = None
    gauges: Gauges | None = None
    checks: tuple[CheckResult, ...] = ()
    plan: Plan | None = None


def step_digests(job: Job) -> dict[str, str]:
    """For each step a digest of everything that its answer depends on.

    Two jobs with the same digest for a step have the same answer there, so a stored answer
    with another digest is stale.
    """
    digests: dict[str, str] = {}
    for step in STEPS:
        fields, earlier = STEP_INPUTS[step]
        asked = {f for f in fields if f not in _CAME_LATER or getattr(job, f)}
        text = job.model_dump_json(include=asked)
        earlier = tuple(e for e in earlier if e not in _CAME_LATER or getattr(job, e))
        digests[step] = sha256("".join([text, *(digests[e] for e in earlier)]).encode()).hexdigest()
    for step, (field, counts) in _TOLD_BY.items():
        both = (job, Job(name=""))
        told, plain = (getattr(of, field).model_dump_json(include=counts) for of in both)
        if told != plain:
            digests[step] = sha256((digests[step] + told).encode()).hexdigest()
    return digests
