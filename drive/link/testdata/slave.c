// An enclosure that only keeps its registers, on libmodbus: slave PORT.
// It mirrors the sequence as every enclosure does, and ends on a signal.
#include <errno.h>
#include <modbus.h>
#include <stdio.h>

int main(int n, char **words) {
	modbus_t *line = n == 2 ? modbus_new_rtu(words[1], 19200, 'N', 8, 2) : NULL;
	modbus_mapping_t *map = modbus_mapping_new(0, 0, 0x60, 0x60);
	if (!line || !map || modbus_set_slave(line, 1) || modbus_connect(line)) {
		fprintf(stderr, "opening the port: %s\n", modbus_strerror(errno));
		return 1;
	}
	uint16_t *r = map->tab_registers;
	r[0x00] = 1, r[0x01] = 3, r[0x04] = 5, r[0x0f] = 0x5f;
	r[0x22] = 0xffff, r[0x23] = 0xfffe, r[0x32] = 5, r[0x40] = 2741;
	printf("ready\n");
	fflush(stdout);
	uint8_t q[MODBUS_RTU_MAX_ADU_LENGTH];
	for (;;) {
		int length = modbus_receive(line, q);
		if (length > 12 && q[1] == 23 && q[6] == 0 && q[7] == 0x10)
			r[0x21] = r[0x3f] = r[0x58] = q[11] << 8 | q[12];
		if (length > 0)
			modbus_reply(line, q, length, map);
	}
}
