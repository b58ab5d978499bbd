"""The shop: its tube, dies and bender, its file, and what its tools do to a tube."""

from barmath.shop.bender import MEASURES, Bender
from barmath.shop.clamping import (
    SLIP_FIT_MM,
    STEM_CLAMPS_MM,
    StemFit,
    clamp_flat_spare_mm,
    clamping_warnings,
    controls_fit,
    stem_fits,
    stem_roll_way,
)
from barmath.shop.die_calibration import DieCalibration, with_calibration, without_last_calibration
from barmath.shop.forming import OUT_OF_ROUND_LIMIT, Forming, forming_from_bend, out_of_round, wall_before_bending
from barmath.shop.groove import Section, section_from_die
from barmath.shop.offsets import (
    bench_marks_mm,
    bend_from_stop_deg,
    constant_from_play_deg,
    marks_from_riser_mm,
    play_deg,
    riser_from_marks_mm,
    stop_from_bend_deg,
)
from barmath.shop.order_seven import BEND_DEG, CROSSBAR, DIE, ORDER, TUBE, order_seven_recipe
from barmath.shop.orders import NamedOrder, orders_from_file, orders_from_toml
from barmath.shop.rack import USUAL_KERF_MM, Rack
from barmath.shop.setup import Setup, setup_from_tube
from barmath.shop.shop_file import Shop, shop_from_file, shop_from_toml
from barmath.shop.stock import CHROMOLY_4130, PSI, Material, Tube
from barmath.shop.tolerance import Tolerance
from barmath.shop.tooling import Die, Springback, check_die_takes_tube, springback_from_tube
from barmath.shop.which_shop import (
    make_my_shop,
    notebooks_folder,
    record_file,
    shop_file,
    training_file,
    training_shop,
)

__all__ = [
    "BEND_DEG",
    "CHROMOLY_4130",
    "CROSSBAR",
    "DIE",
    "MEASURES",
    "ORDER",
    "OUT_OF_ROUND_LIMIT",
    "PSI",
    "SLIP_FIT_MM",
    "STEM_CLAMPS_MM",
    "TUBE",
    "USUAL_KERF_MM",
    "Bender",
    "Die",
    "DieCalibration",
    "Forming",
    "Material",
    "NamedOrder",
    "Rack",
    "Section",
    "Setup",
    "Shop",
    "Springback",
    "StemFit",
    "Tolerance",
    "Tube",
    "bench_marks_mm",
    "bend_from_stop_deg",
    "check_die_takes_tube",
    "clamp_flat_spare_mm",
    "clamping_warnings",
    "constant_from_play_deg",
    "controls_fit",
    "forming_from_bend",
    "make_my_shop",
    "marks_from_riser_mm",
    "notebooks_folder",
    "order_seven_recipe",
    "orders_from_file",
    "orders_from_toml",
    "out_of_round",
    "play_deg",
    "record_file",
    "riser_from_marks_mm",
    "section_from_die",
    "setup_from_tube",
    "shop_file",
    "shop_from_file",
    "shop_from_toml",
    "springback_from_tube",
    "stem_fits",
    "stem_roll_way",
    "stop_from_bend_deg",
    "training_file",
    "training_shop",
    "wall_before_bending",
    "with_calibration",
    "without_last_calibration",
]
