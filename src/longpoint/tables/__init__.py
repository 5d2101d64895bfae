"""Published values, every row with its source; loaders give them as frozen values.

One module per table: ``wood``, ``timber_classes``, ``sizes``, ``fasteners``, ``shops``, ``canvas``, ``fixing_habits``,
``finishing``, ``climates``, ``limits``, ``cautions``; ``moisture`` and ``withdrawal`` hold the formulas that go with
them; ``reference`` makes the page of all tables.
"""

from longpoint.tables.canvas import (
    ClothState,
    breaking_tension,
    canvas_constant,
    cloth_mass_from_ounces,
    cloth_state,
    cloth_thickness,
    cloth_weight,
    duck_mass,
    fibre,
    named_strain,
    named_tension,
)
from longpoint.tables.cautions import SafetyCaution, all_safety_cautions, safety_caution
from longpoint.tables.climates import ClimatePreset, all_climates, climate_preset, humidity_answer
from longpoint.tables.fasteners import (
    StapleKind,
    all_screw_gauges,
    end_distance,
    pulled_spacing,
    screw_gauge,
    screw_rule,
    screw_spacing,
    staple_kind,
)
from longpoint.tables.finishing import Coating, WoodGlue, coating, mixing, wood_glue
from longpoint.tables.fixing_habits import habit
from longpoint.tables.limits import Limit, all_limits, limit
from longpoint.tables.moisture import density_at, equilibrium_moisture, modulus_at, size_change
from longpoint.tables.reading import Source, Tag
from longpoint.tables.sizes import dressed_size, lengths_sold, planing_loss, size_tolerance, warp_limit
from longpoint.tables.timber_classes import (
    StrengthClass,
    all_strength_classes,
    creep,
    load_duration,
    safety,
    strength_class,
)
from longpoint.tables.withdrawal import (
    screw_withdrawal,
    screw_withdrawal_allowed,
    staple_lateral,
    staple_withdrawal,
)
from longpoint.tables.wood import (
    Species,
    all_species,
    assigned_gravity,
    elastic_ratios,
    movement_across,
    scatter,
    shrinkage,
    species,
)

__all__ = [
    "ClimatePreset",
    "ClothState",
    "Coating",
    "Limit",
    "SafetyCaution",
    "Source",
    "Species",
    "StapleKind",
    "StrengthClass",
    "Tag",
    "WoodGlue",
    "all_climates",
    "all_limits",
    "all_safety_cautions",
    "all_screw_gauges",
    "all_species",
    "all_strength_classes",
    "assigned_gravity",
    "breaking_tension",
    "canvas_constant",
    "climate_preset",
    "cloth_mass_from_ounces",
    "cloth_state",
    "cloth_thickness",
    "cloth_weight",
    "coating",
    "creep",
    "density_at",
    "dressed_size",
    "duck_mass",
    "elastic_ratios",
    "end_distance",
    "equilibrium_moisture",
    "fibre",
    "habit",
    "humidity_answer",
    "lengths_sold",
    "limit",
    "load_duration",
    "mixing",
    "modulus_at",
    "movement_across",
    "named_strain",
    "named_tension",
    "planing_loss",
    "pulled_spacing",
    "safety",
    "safety_caution",
    "scatter",
    "screw_gauge",
    "screw_rule",
    "screw_spacing",
    "screw_withdrawal",
    "screw_withdrawal_allowed",
    "shrinkage",
    "size_change",
    "size_tolerance",
    "species",
    "staple_kind",
    "staple_lateral",
    "staple_withdrawal",
    "strength_class",
    "warp_limit",
    "wood_glue",
]
