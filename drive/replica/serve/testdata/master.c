// Exchanges with an enclosure as a master on libmodbus:
//   master PORT SECONDS PER_SECOND
// Each exchange writes 0010-0015 and reads 0020-0035 by function 23. Prints
// the numbers of exchanges and of errors; the status is 0 without errors.
#include <errno.h>
#include <modbus.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

static double now(void) {
	struct timespec t;
	clock_gettime(CLOCK_MONOTONIC, &t);
	return t.tv_sec + t.tv_nsec * 1e-9;
}

int main(int n, char **words) {
	if (n != 4) {
		fprintf(stderr, "usage: master PORT SECONDS PER_SECOND\n");
		return 2;
	}
	double seconds = atof(words[2]), period = 1 / atof(words[3]);
	modbus_t *line = modbus_new_rtu(words[1], 19200, 'N', 8, 2);
	if (!line || modbus_set_slave(line, 1) || modbus_connect(line)) {
		fprintf(stderr, "opening %s: %s\n", words[1], modbus_strerror(errno));
		return 1;
	}
	uint16_t one[1], many[16];
	if (modbus_read_registers(line, 0, 16, many) != 16 || many[0] != 1 ||
	    modbus_read_input_registers(line, 0x0f, 1, one) != 1 || one[0] != 0x5f) {
		fprintf(stderr, "reading the identity: %s\n", modbus_strerror(errno));
		return 1;
	}
	uint16_t band[2] = {2, 7};
	if (modbus_write_register(line, 0x1a, 450) != 1 || modbus_write_registers(line, 0x18, 2, band) != 2 ||
	    modbus_read_registers(line, 0x18, 3, many) != 3 || many[0] != 2 || many[1] != 7 || many[2] != 450) {
		fprintf(stderr, "writing slow orders: %s\n", modbus_strerror(errno));
		return 1;
	}
	if (modbus_read_registers(line, 0x5f, 2, many) != -1 || errno != EMBXILADD) {
		fprintf(stderr, "outside the map: %s\n", modbus_strerror(errno));
		return 1;
	}
	uint16_t demand[6] = {0, 0, 0, 0, 1000, 0}, motion[22];
	long all = (long)(seconds / period + 0.5), errors = 0;
	double next = now();
	for (long exchange = 1; exchange <= all; exchange++) {
		demand[0]++;
		if (modbus_write_and_read_registers(line, 0x10, 6, demand, 0x20, 22, motion) != 22 || motion[1] != demand[0]) {
			errors++;
			fprintf(stderr, "exchange %ld: %s, sequence %u of %u\n", exchange, modbus_strerror(errno), motion[1], demand[0]);
		}
		next += period;
		double left = next - now();
		if (left > 0) {
			struct timespec t = {(time_t)left, (long)((left - (time_t)left) * 1e9)};
			nanosleep(&t, NULL);
		}
	}
	modbus_close(line);
	modbus_free(line);
	printf("%ld exchanges, %ld errors\n", all, errors);
	return errors != 0;
}
