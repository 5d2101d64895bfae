"""Parts out of boards and cloth out of rolls, with bounds, and referees that share no code with the solvers."""

from longpoint.cutting.lists import cut_list as cut_list
from longpoint.cutting.lists import parse_cut_list as parse_cut_list
from longpoint.cutting.plan import plan_boards as plan_boards
from longpoint.cutting.referee import check_board_plan as check_board_plan
from longpoint.cutting.referee import verify_certificate as verify_certificate
from longpoint.cutting.values import BendLimits as BendLimits
from longpoint.cutting.values import Board as Board
from longpoint.cutting.values import BoardPlan as BoardPlan
from longpoint.cutting.values import BoardProblem as BoardProblem
from longpoint.cutting.values import Certificate as Certificate
from longpoint.cutting.values import Cut as Cut
from longpoint.cutting.values import CutBoard as CutBoard
from longpoint.cutting.values import End as End
from longpoint.cutting.values import Grade as Grade
from longpoint.cutting.values import Kind as Kind
from longpoint.cutting.values import Lie as Lie
from longpoint.cutting.values import OffcutWorth as OffcutWorth
from longpoint.cutting.values import Shop as Shop
from longpoint.cutting.values import Span as Span
from longpoint.cutting.values import Stands as Stands
from longpoint.cutting.values import Swing as Swing
from longpoint.cutting.values import WantedPart as WantedPart
from longpoint.cutting.values import Work as Work
from longpoint.cutting.values import millimetres as millimetres
from longpoint.cutting.values import mitre_kerf as mitre_kerf
from longpoint.cutting.values import nanometres as nanometres
