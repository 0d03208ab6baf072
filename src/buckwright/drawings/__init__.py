"""The drawings step: every product of the job on full-size sheets, before any file format.

packet_sheets     all sheets of the packet, in order of work
elevations        side elevation, plan, front and rear elevation of the network
tapes             lengths measured with a tape beside those of the lines
changes           what a later change asks of the wires that stand
bends, rodmarks   one sheet for each wire, with everything that meets it
openings          doors and lids: outline, hinge axis, swing, clearances
glass             panes to cut in true size, and how their outlines lie to them
frames            the inner frame in three views, and the cut list
colours           orange for stretch, violet for shrink
blanks, shapemap  blanks with their isolines of stretch and shrink
treatmentmarks, beadmarks, laying  beads, louvres, trims and meetings of skins on a blank
edgemarks         bend lines, LEFT and RIGHT, the arrow forward
strainmap         strains, radii and thickness over a blank, and the order of work
boards            boards of the station buck
layouts           sheets and boards with what is cut from each
cards, stands     gauge cards, and the stands that hold them
sweeps            arc gauges, and which belongs where
grids             squares on a blank with their finished lengths, and gauge strips
papers            strips of paper with the gaps and overlaps that they must show
tradeoff          the seams of a region weighed: strain against weld
skindoubts        where the skin is in doubt
checks            high and low spots of what was built
shoots            where cameras stood round the mat, and from where pictures are missing
board, placing, listing, viewing   strokes and words, where names go, lists, how a piece lies
cautions          what a sheet says about hurting oneself
"""

from buckwright.drawings.bends import bend_sheets
from buckwright.drawings.blanks import blank_sheets
from buckwright.drawings.boards import board_sheets
from buckwright.drawings.cards import card_sheets
from buckwright.drawings.cautions import SCOPE, cautions_for, every_caution
from buckwright.drawings.changes import change_sheets
from buckwright.drawings.checks import check_sheets
from buckwright.drawings.colours import change_colours
from buckwright.drawings.elevations import elevation_sheets
from buckwright.drawings.frames import frame_sheets
from buckwright.drawings.glass import glass_sheets
from buckwright.drawings.grids import grid_sheets
from buckwright.drawings.layouts import layout_sheets
from buckwright.drawings.openings import door_sheets
from buckwright.drawings.papers import paper_sheets
from buckwright.drawings.shoots import SCALE_NOT_MEASURED, shoot_sheet
from buckwright.drawings.skindoubts import skin_doubt_sheets
from buckwright.drawings.stands import stand_sheets
from buckwright.drawings.strainmap import working_sheets
from buckwright.drawings.sweeps import sweep_sheets
from buckwright.drawings.tapes import tape_sheets
from buckwright.drawings.tradeoff import tradeoff_sheet
from buckwright.model.drawings import Sheet
from buckwright.model.job import Job, Products
from buckwright.model.tapes import TapeCheck

__all__ = [
    "SCALE_NOT_MEASURED",
    "SCOPE",
    "bend_sheets",
    "blank_sheets",
    "board_sheets",
    "card_sheets",
    "cautions_for",
    "change_colours",
    "change_sheets",
    "check_sheets",
    "door_sheets",
    "elevation_sheets",
    "every_caution",
    "frame_sheets",
    "glass_sheets",
    "grid_sheets",
    "layout_sheets",
    "packet_sheets",
    "paper_sheets",
    "shoot_sheet",
    "skin_doubt_sheets",
    "stand_sheets",
    "sweep_sheets",
    "tape_sheets",
    "tradeoff_sheet",
    "working_sheets",
]


def packet_sheets(
    job: Job, products: Products, tapes: TapeCheck | None = None
) -> tuple[Sheet, ...]:
    """All sheets that the products so far give, names unique; a step that has not run gives none.

    `tapes` are the job's tapes as they were held against its lines.
    Order: elevations, tapes, doubts of the skin, frame and cut list, bend sheets, blanks, grids
    and paper patterns, gauge cards, checks.
    """
    sheets: list[Sheet] = []
    if products.lines is not None:
        fit = products.people
        package = None if fit is None else fit.package
        sheets += elevation_sheets(job, products.lines, package)
        sheets += tape_sheets(job, tapes)
        sheets += skin_doubt_sheets(job, products.skin, products.lines.network)
        if products.buck is not None:
            sheets += frame_sheets(job, products.lines, products.buck)
    if products.openings is not None:
        sheets += door_sheets(job, products.openings, products.skin)
        sheets += glass_sheets(job, products.openings)
    if products.buck is not None:
        sheets += bend_sheets(job, products.buck)
        if products.buck.boards is not None:
            sheets += board_sheets(job, products.buck.boards)
    if products.panels is not None:
        sheets += blank_sheets(job, products.panels, products.skin)
        sheets += working_sheets(job, products.panels)
        sheets += grid_sheets(job, products.panels)
        if products.panels.layout is not None:
            sheets += layout_sheets(job, products.panels.layout, what="blanks", kind="blank")
        sheets += paper_sheets(job, products.panels.papers)
    if products.gauges is not None:
        sheets += card_sheets(job, products.gauges)
        sheets += stand_sheets(job, products.gauges)
        sheets += sweep_sheets(job, products.gauges.sweeps)
    if products.skin is not None:
        sheets += check_sheets(job, products.skin, products.checks)
    return _marked(sheets, products)


def _marked(sheets: list[Sheet], products: Products) -> tuple[Sheet, ...]:
    """The sheets, each with a mark where no length on it can be trusted."""
    solved = products.calibration
    if solved is None or solved.scale == "bar":
        return tuple(sheets)
    return tuple(s.model_copy(update={"notes": (SCALE_NOT_MEASURED, *s.notes)}) for s in sheets)
