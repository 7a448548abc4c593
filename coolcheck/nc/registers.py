"""System variables: what a program may ask of its control, and the few it may set (from memory where no source is named)."""

import math
from typing import TYPE_CHECKING

from coolcheck.nc import settings
from coolcheck.nc.macros import Value
from coolcheck.nc.modal import cycle_of

if TYPE_CHECKING:
    from coolcheck.nc.control import Control

NAN = math.nan
ALARM, STOP = 3000, 3006
_GROUPS = range(4001, 4031)  # modal G codes by group; 4201 to 4230 are those of the running block
_ADDRESSES = {4107: "D", 4109: "F", 4111: "H", 4113: "M", 4114: "N", 4115: "O", 4119: "S", 4120: "T"}
_OFFSETS = range(5221, 5341)  # G54 to G59, twenty apart; the axes are the first of each twenty
_NGC_OFFSETS = range(5221, 5401)
_NGC_PRESET = range(5211, 5217)
_NGC_ACTIVE = 5220


class Registers:
    """Answers for the system variables of one control."""

    def __init__(self, control: "Control") -> None:
        self._control = control
        self._is_ngc = control.meaning.system_variables == "rs274"

    def system_value(self, number: int) -> Value:
        """The value of a system variable in program units; NaN when it is not known here."""
        return self._ngc(number) if self._is_ngc else self._word_address(number)

    def _length(self, value: float) -> float:
        return value / self._control.scale

    def _word_address(self, number: int) -> Value:
        control = self._control
        if number in _GROUPS:
            return self._modal(number - 4000)
        if 5001 <= number <= 5003 or 5041 <= number <= 5043:  # end of the last block; position in work coordinates
            return self._length(control.position[number % 10 - 1])
        if number in _OFFSETS:
            return self._offset(number)
        letter = _ADDRESSES.get(number)
        if letter == "F":
            return self._length(control.word_feed)
        if letter == "S":
            return control.state.modal.rpm if control.state.modal.rpm is not None else NAN
        if letter == "T":
            return float(control.selected) if control.selected is not None else NAN
        if letter == "H":
            return float(control.last_length) if control.last_length is not None else NAN
        return NAN

    def _modal(self, group: int) -> Value:
        modal = self._control.state.modal
        known = {2: modal.plane, 3: modal.distance, 5: modal.feed_mode, 6: modal.units, 10: modal.return_level}
        if group in known:
            value = known[group]
            return NAN if value is None else float(value)
        if group == 1:
            return self._control.last_motion / 10 if self._control.last_motion >= 0 else NAN
        if group == 9:
            return float(cycle_of(self._control.motion) or 80)
        if group == 14:
            name = self._control.state.coordinates or self._control.meaning.work_offset
            return float(name[1:]) if name[1:].replace(".", "").isdigit() else NAN
        return NAN

    def _offset(self, number: int) -> Value:
        index, axis = divmod(number - 5221, 20)
        if axis > 2:
            return NAN
        name = f"G{54 + index}" if index < 6 else f"G59.{index - 5}"
        return self._length(self._control.offsets.get(name, (NAN, NAN, NAN))[axis])

    def _ngc(self, number: int) -> Value:
        control = self._control
        if number in _NGC_PRESET:
            return self._length(control.state.preset[number - 5211]) if number <= 5213 else NAN
        if number == _NGC_ACTIVE:
            name = control.state.coordinates or control.meaning.work_offset
            return float(name[1:]) - 53 if name[1:].isdigit() else NAN
        if number in _NGC_OFFSETS:
            return self._offset(number)
        if 5420 <= number <= 5422:
            return self._length(control.position[number - 5420])
        return NAN

    def write(self, number: int, value: Value) -> bool:
        """Sets a system variable that means something; False when it is a plain variable."""
        control = self._control
        if number in (_NGC_OFFSETS if self._is_ngc else _OFFSETS):
            index, axis = divmod(number - 5221, 20)
            if axis <= 2:
                settings.write_offset(control, index + 1, "XYZ"[axis], NAN if value is None else value * control.scale)
            return True
        if not self._is_ngc and 2001 <= number <= 2999:
            control.lengths[number - 2000] = NAN  # which column it is depends on the control's memory
            return True
        return False
