// Fields of public layers. Headings of the Census Bureau's TIGER/Line files (EDGES, ADDRFEAT) and of ACS tables from memory.
#include "importers/field_lists.h"

namespace leeward::importers {

using enum FieldType;

const std::vector<Field>& premisesFields() {
  static const std::vector<Field> list = {
      {"id", false, Id, "Number of the address point", "address id|addressid|addr id|objectid|object id|fid|gid|oid|point id|site id|uid|key|parcel id|globalid"},
      {"number", false, Text, "House number", "street number|house number|address number|addr num|addrnum|hn|house no|housenumber|st num|add number|addnum|number house|addr hn|streetnumber|no"},
      {"number_suffix", false, Text, "What follows the number: A, 1/2", "street number suffix|house number suffix|address number suffix|number suf|addnum suf|hn suffix|num suffix"},
      {"street_pre", false, Text, "Direction or type in front of the name", "dir prefix|pre dir|predir|prefix direction|st predir|prefix|street prefix|street direction prefix"},
      {"street", false, Text, "Street name", "street name|st name|road name|roadname|stname|addr street|streetname|road|st nam|lst name|full street|full street name|fullname"},
      {"street_type", false, Text, "Street type, where it stands apart", "street suffix|street type|st type|suffix|sttype|post type|st postyp|posttype|streetsuffix"},
      {"street_post", false, Text, "Direction behind the name", "dir suffix|post dir|postdir|suffix direction|st posdir|street direction suffix"},
      {"unit", false, Text, "Flat or unit", "apt|apartment|unit number|unit no|suite|flat|subaddress|sub address|unit id"},
      {"address", false, Address, "Full address in one column, where number and street do not stand apart", "full address|fulladdr|address full|street address|addr|add full|site address|location|property address|address label"},
      {"place", false, Text, "Town", "city|town|municipality|post comm|inc muni|community|addr city|zip name"},
      {"postcode", false, Id, "Postal code", "zip|zip code|zipcode|postal code|post code|zip5|addr postcode"},
      {"lon", false, Longitude, "Longitude, or easting when a CRS is named", "longitude|long|lng|x|easting|x coord|xcoord|point x|gps longitude|east|coord x"},
      {"lat", false, Latitude, "Latitude, or northing when a CRS is named", "latitude|y|northing|y coord|ycoord|point y|gps latitude|north|coord y"},
      {"axes", false, Setting, "swapped: the coordinates stand as north, east (latitude, longitude)", ""},
  };
  return list;
}

const std::vector<Field>& streetFields() {
  static const std::vector<Field> list = {
      {"id", false, Id, "Number of the piece of street", "tlid|linearid|segment id|seg id|objectid|object id|fid|gid|street id|centerline id|link id"},
      {"name", true, Text, "Street name, full", "fullname|street|full name|street name|road name|name full|st name|streetname|roadname|label|full street name"},
      {"l_from", false, Text, "First number on the left", "lfromadd|lfromhn|left from|from left|l from add|l f add|lf add|from addr l|fromaddr l|l from hn|left from address|l add from|fadd l"},
      {"l_to", false, Text, "Last number on the left", "ltoadd|ltohn|left to|to left|l to add|l t add|lt add|to addr l|toaddr l|l to hn|left to address|l add to|tadd l"},
      {"r_from", false, Text, "First number on the right", "rfromadd|rfromhn|right from|from right|r from add|r f add|rf add|from addr r|fromaddr r|r from hn|right from address|r add from|fadd r"},
      {"r_to", false, Text, "Last number on the right", "rtoadd|rtohn|right to|to right|r to add|r t add|rt add|to addr r|toaddr r|r to hn|right to address|r add to|tadd r"},
      {"l_postcode", false, Id, "Postal code on the left", "zipl|zip left|left zip|zip l|l zip|lzip|postcode left|zipcode l|postal l"},
      {"r_postcode", false, Id, "Postal code on the right", "zipr|zip right|right zip|zip r|r zip|rzip|postcode right|zipcode r|postal r"},
      {"l_place", false, Text, "Town on the left", "place l|city l|left city|city left|l city|placel|muni l|left place"},
      {"r_place", false, Text, "Town on the right", "place r|city r|right city|city right|r city|placer|muni r|right place"},
      {"kind", false, Text, "Class of road", "mtfcc|road class|class|fclass|highway|functional class|roadclass|road type|street class"},
      {"from_node", false, Id, "Node where the line begins", "fromnode|tnidf|from node id|start node|fnode|f node"},
      {"to_node", false, Id, "Node where the line ends", "tonode|tnidt|to node id|end node|tnode|t node"},
      {"axes", false, Setting, "swapped: the coordinates stand as north, east (latitude, longitude)", ""},
  };
  return list;
}

const std::vector<Field>& areaFields() {
  static const std::vector<Field> list = {
      {"id", false, Id, "The area's own id (blocks need it); for census areas the full code", "geoid|geo id|geoid20|geoid10|geoid00|geoidfq|affgeoid|stfid|blkid|block id|blockid|block|area id|geocode|code|tractblk|tract|block group|objectid|fid|gid|globalid|zip code|zipcode|jurisdiction id|district|n hood|ward"},
      {"name", false, Text, "Name for readers", "namelsad|area name|label|title|jurisdiction|town|city|neighborhood|neighbourhood|municipality|county|village|district name"},
      {"people", false, Number, "People counted there", "population|pop|pop100|total population|pop total|persons|p1 001n|p0010001|pop lab|residents|b01003 001e|tot pop|totpop"},
      {"housing_units", false, Number, "Homes counted there", "housing|hu100|housing units|units|households|h1 001n|h0010001|homes|dwellings|b25001 001e|hu"},
      {"axes", false, Setting, "swapped: the coordinates stand as north, east (latitude, longitude)", ""},
  };
  return list;
}

const std::vector<Field>& censusFields() {
  static const std::vector<Field> list = {
      {"id", true, Id, "Census code (GEOID) of the row", "geoid|geo id|geoid20|geoid10|geoidfq|affgeoid|geo id2|geography id|area id|fips|fips code|geo|geocode|block group|tract|stfid|id2|geography"},
      {"name", false, Text, "Name of the area", "namelsad|geographic area name|area name|label|geography name"},
      {"axes", false, Setting, "swapped: the coordinates stand as north, east (latitude, longitude)", ""},
  };
  return list;
}

const std::vector<Field>& weatherFields() {
  static const std::vector<Field> list = {
      {"date", true, Date, "Day", "day|obs date|observation date|when|dt|time|datetime"},
      {"tmax", true, Number, "Highest temperature of the day", "temp max|max temp|maximum temperature|high|max temperature|temperature max|tx|daily high|tempmax|high temp|air temp max"},
      {"tmin", false, Number, "Lowest temperature of the day", "temp min|min temp|minimum temperature|low|min temperature|temperature min|tn|daily low|tempmin|low temp|air temp min"},
      {"precipitation", false, Number, "Rain and melted snow", "prcp|precip|rain|rainfall|precipitation total|rain total|rr"},
      {"humidity", false, Number, "Relative humidity in percent", "rh|relative humidity|mean humidity|humidity mean|rhum|hum|rh mean|humidity avg|avg humidity"},
      {"wind", false, Number, "Mean wind speed", "wind speed|windspeed|awnd|mean wind|wind mean|avg wind|wspd"},
      {"unit", false, Setting, "C or F: the unit of the temperatures where headings don't say; tenths for tenths of a degree C", ""},
      {"date_order", false, Setting, "mdy or dmy: which comes first in 3/4/2025", ""},
  };
  return list;
}

const std::vector<Field>& heatFields() {
  static const std::vector<Field> list = {
      {"value", false, Number, "Value of each area, where the layer is no raster", "temp|temperature|lst|lst mean|mean lst|mean temp|temp mean|avg temp|surface temperature|air temperature|heat|heat index|mean|gridcode|grid code|score|hvi|heat vulnerability|index"},
      {"unit", false, Setting, "Unit of the values: C, F, K, share ...", ""},
      {"axes", false, Setting, "swapped: the coordinates stand as north, east (latitude, longitude)", ""},
  };
  return list;
}

}  // namespace leeward::importers
