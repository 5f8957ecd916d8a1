"""An enclosure that only keeps its registers, on pymodbus: slave.py PORT.

It mirrors the sequence as every enclosure does, and ends on a signal.
"""
import sys

from pymodbus.datastore import ModbusSequentialDataBlock, ModbusServerContext, ModbusSlaveContext
from pymodbus.server import StartSerialServer
from pymodbus.transaction import ModbusRtuFramer


class Registers(ModbusSequentialDataBlock):
    def setValues(self, address, values):
        super().setValues(address, values)
        if address == 0x10:
            for mirror in (0x21, 0x3F, 0x58):
                super().setValues(mirror, values[:1])


values = [0] * 0x60
values[0x00], values[0x01], values[0x04], values[0x0F] = 1, 3, 5, 0x5F
values[0x22], values[0x23], values[0x32], values[0x40] = 0xFFFF, 0xFFFE, 5, 2741
block = Registers(0, values)
store = ModbusSlaveContext(hr=block, ir=block, zero_mode=True)
print("ready", flush=True)
StartSerialServer(
    context=ModbusServerContext(slaves={1: store}, single=False), framer=ModbusRtuFramer,
    port=sys.argv[1], baudrate=19200, parity="N", stopbits=2, timeout=1,
)
