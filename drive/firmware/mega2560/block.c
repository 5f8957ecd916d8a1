/* The station's table in the image, with zeros in place of its values: the panel's program fills them in. */
#include <avr/pgmspace.h>

#include "../core/station.h"

const struct station_block station_block PROGMEM = {
    .mark = {'S', 'T', 'A', 'T', 'I', 'O', 'N', 0}, .version = STATION_VERSION, .size = STATION_SIZE};
