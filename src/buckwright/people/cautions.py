"""What a layout of people and wheels must not be taken for."""

__all__ = ["PEOPLE_CAUTIONS"]

PEOPLE_CAUTIONS = (
    "Restraints: belts and their anchorages (FMVSS 209 and 210; UNECE R16 and R14), seats and "
    "their anchorages (FMVSS 207; R17) and head restraints (FMVSS 202a; R25) are not designed "
    "here. Anchor into structure that an engineer has checked, never into skin.",
    "Glazing: safety glass marked for its place (FMVSS 205 with ANSI/SAE Z26.1; UNECE R43). "
    "Window glass from a building cuts throats.",
    "Structure: this shows room, not strength. Roof crush, side impact, door locks and hinges "
    "(FMVSS 216a, 214, 206; R11) need an engineer.",
    "Sight: field of view and mirrors are ruled where the vehicle is registered (UNECE R125, R46; "
    "FMVSS 111); the angles here are for flat metal outlines and these people only.",
    "The local code goes before all of this. Ask the approval authority before cutting metal.",
)
"""Standards by number from memory, without a year: the current edition counts."""
