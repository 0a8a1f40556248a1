// Fields of the crew's own files: visits, sightings, stock.
#include <array>
#include <deque>

#include "importers/field_lists.h"
#include "importers/template_words.h"

namespace leeward::importers {
namespace {

using enum FieldType;

struct CheckItem {
  std::string_view id;
  std::string_view meaning;
  std::string_view synonyms;
};

/// The condition check. Ascending by id: the ledger packs them in this order.
constexpr auto kItems = std::to_array<CheckItem>({
    {"area", "the ground the dog lives on: dry, clean, free of hazards", "living area|yard area|yard condition|ground"},
    {"bedding", "bedding fit for the season: straw in the cold months, none that soaks in frost", "straw ok|bedding ok|bedding condition"},
    {"behaviour", "how the dog bears itself", "behavior|temperament|demeanor|demeanour"},
    {"coat", "coat and skin", "fur|hair|skin|coat condition"},
    {"collar_fit", "two fingers fit under the collar", "collar|collar ok|fit of collar"},
    {"collar_kind", "a flat collar: no choke or prong collar on a tethered dog", "collar type|type of collar"},
    {"ears", "ears", "ear condition"},
    {"eyes", "eyes", "eye condition"},
    {"food", "food is there and fit to eat", "food ok|feed"},
    {"gums", "gums and teeth", "teeth|mouth|gum"},
    {"house", "a house with a roof, four walls and a floor off the ground", "doghouse|dog house|house ok|shelter"},
    {"nails", "nails", "claws|nail"},
    {"parasites", "free of fleas, ticks and worms", "fleas|ticks|fleas ticks|flea tick|worms"},
    {"pen", "a pen of fair size and sound make", "kennel|enclosure|run|pen ok"},
    {"shade", "shade at midday", "shade ok"},
    {"tether", "a light tether with a swivel at each end, not tangled", "chain|tie out|tieout|cable|tether ok|tethering"},
    {"water", "water that is there, drinkable and can't be tipped", "water ok|drinking water"},
    {"wound", "free of wounds", "wounds|injury|injuries"},
});

/// The names of left_ fields are made here, once.
std::vector<Field> visitList() {
  std::vector<Field> list = {
      {"visit_id", false, Id, "Same for all animals of one visit", "visit|visit no|visit number|id|record|record id|visit ref|log id|entry|entry id"},
      {"date", true, Date, "Day of the look", "visit date|date of visit|when|day|visited|visited on|date visited|look date|datetime|date time|timestamp|time|begin|fecha|fecha de visita"},
      {"time", false, Time, "Time of day", "visit time|time of day|start time|at|hour|start"},
      {"crew", false, Text, "Who looked", "team|who|crew name|van|volunteer|volunteers|staff|worker|workers|who went|visited by|by|initials|recorded by"},
      {"address", false, Address, "Address as typed (needed unless lon and lat are there)", "street address|full address|addr|location|home address|site address|property address|property|where|street|address line 1|address 1|house|direccion|domicilio"},
      {"number", false, Text, "House number, where it stands apart from the street", "house number|house no|street number|street no|no|number house"},
      {"street", false, Text, "Street, where it stands apart from the number", "street name|road|street nm"},
      {"place", false, Text, "Town", "city|town|municipality|village|community"},
      {"postcode", false, Id, "Postal code", "zip|zip code|zipcode|postal code|post code|zip 5|zip5"},
      {"lon", false, Longitude, "Longitude in degrees", "longitude|long|lng|x|gps lon|gps long|gps longitude|east"},
      {"lat", false, Latitude, "Latitude in degrees", "latitude|y|gps lat|gps latitude|north"},
      {"look", false, Word, "knock, street, call or track", "look kind|kind of look|contact type|type of contact|visit type|type of visit|method|how looked"},
      {"why_here", false, Word, "planned, passing, caller, owner_asked or return", "why|reason|reason for visit|visit reason|purpose|why there|source of visit|origin"},
      {"door_result", false, Word, "What happened at the door", "result|door|what happened|happened|outcome at door|resultado|que paso|door answer|response|contact|contact result|disposition|result of visit|visit result|at door"},
      {"permission_by", false, Text, "Who gave permission: owner, relative, caretaker; or withdrawn", "permission|permission from|permission given by|consent|consent by|spoke with|spoke to|permission who"},
      {"permission_how", false, Text, "How permission was given: door, phone", "consent how|permission via|permission method|consent method"},
      {"permission_for", false, Text, "What permission covers", "consent for|permitted|allowed|permission to|permission scope"},
      {"permission_until", false, Date, "Last day of the permission", "permission ends|consent until|permission expires|valid until"},
      {"note_left", false, YesNo, "A note was left", "note|left note|flyer left|flyer|door hanger|left flyer|card left"},
      {"dogs_seen", false, Count, "Animals seen in all", "dogs|number of dogs|no of dogs|dog count|num dogs|seen|animals seen|of dogs|number dogs|count|how many dogs|total dogs"},
      {"dogs_met", false, Count, "Animals met with permission", "met|dogs helped|dogs checked|animals met|dogs serviced|dogs handled|number met"},
      {"dog_name", false, Text, "The animal's name", "name|dog|animal name|pet name|name of dog|dogs name|animal"},
      {"kind", false, Text, "dog, cat ...", "species|animal type|type of animal|animal kind"},
      {"sex", false, Text, "male, female", "gender|m f|sex m f"},
      {"age", false, Text, "Age as said", "dog age|approx age|age years|estimated age"},
      {"altered", false, Text, "Neutered: yes, no, unknown", "spayed neutered|neutered|spayed|fixed|sn|s n|spay neuter|spay neuter status|desexed"},
      {"description", false, Text, "Looks of the animal", "breed|color|colour|markings|dog description|appearance|breed color|breed colour"},
      {"body_condition", false, Number, "Body condition step; needs body_scale", "bcs|body score|body condition score|condition score|body"},
      {"body_scale", false, Text, "Which scale: five_ideal_first, five_thin_first, nine_thin_first", "bcs scale|scale|condition scale|body condition scale"},
  };
  static std::deque<std::string> names;  // stable places for the views
  for (const CheckItem& item : kItems) list.push_back({item.id, false, Check, item.meaning, item.synonyms});
  for (const CheckItem& item : kItems) {
    std::string plain(item.id);
    for (char& c : plain) c = c == '_' ? ' ' : c;
    const std::string& name = names.emplace_back("left_" + std::string(item.id));
    const std::string& synonyms = names.emplace_back(plain + " left|" + plain + " after|after " + plain + "|" + plain + " as left");
    list.push_back({name, false, Check, item.meaning, synonyms});
  }
  const std::vector<Field> tail = {
      {"done", false, List, "What was done or given: straw 2; swivel 1", "given|supplies|provided|items given|services|service|work done|what was done|supplies given|action|actions|help given"},
      {"treatment", false, List, "product|lot|weight unit, ';' between", "treatments|treated with|medication|medicine|vaccine|vaccines|flea treatment"},
      {"promised", false, Text, "What was promised", "promise|to do|next steps|follow up needed|needs|promised next"},
      {"return_by", false, Date, "Come back by", "return date|come back by|follow up date|next visit|due|return on|revisit by|follow up by|next due"},
      {"outcome", false, Word, "given_up, improved, unchanged, worse, neutered, moved, died, lost_contact, referred", "outcome of visit|status|dog outcome|animal outcome|final outcome"},
      {"referred_to", false, Text, "Authority that the case was handed to", "referral|referral to|agency|reported to|referred|authority"},
      {"photos", false, Text, "Picture file names", "photo|pictures|picture|images|image|photo files"},
      {"notes", false, Text, "Anything else", "comments|comment|remarks|remark|memo|details|visit notes|observations|other notes"},
      {"hazard", false, Text, "Bite and other hazards", "hazards|warning|danger|bite|bite risk|caution|safety|safety notes"},
      {"household", false, Text, "Who lives there (private)", "owner|owner name|client|client name|family|resident|occupant|name of owner|contact name"},
      {"phone", false, Text, "Telephone (private)", "telephone|phone number|mobile|cell|cell phone|contact number|tel|owner phone"},
      {"language", false, Text, "Language spoken", "lang|spoken language|language spoken|speaks"},
      {"heard_by", false, Text, "How they heard of the team", "how heard|heard from|how did they hear|heard about us|referred by"},
      {"date_order", false, Setting, "mdy or dmy: which comes first in 3/4/2025", ""},
      {"time_zone", false, Setting, "The team's clock, to which times with a zone are converted: EST5EDT, CST6CDT, -05:00 ...", ""},
      {"why", false, Setting, "Why the crew looked, for all looks of the file that don't say it: planned, passing, caller, owner_asked, return", ""},
      {"scale", false, Setting, "Scale of all body condition scores of the file that don't say their own: five_ideal_first, five_thin_first, nine_thin_first", ""},
  };
  list.insert(list.end(), tail.begin(), tail.end());
  return list;
}

/// The headings of the Spanish template are known like all others.
std::vector<Field> withSpanish(std::vector<Field> list) {
  static std::deque<std::string> kept;  // stable places for the views
  for (Field& field : list) {
    const std::string spanish = spanishSynonyms(field.name);
    if (spanish.empty()) continue;
    field.synonyms = kept.emplace_back(field.synonyms.empty() ? spanish : std::string(field.synonyms) + "|" + spanish);
  }
  return list;
}

}  // namespace

const std::vector<std::string_view>& conditionItems() {
  static const std::vector<std::string_view> items = [] {
    std::vector<std::string_view> ids;
    for (const CheckItem& item : kItems) ids.push_back(item.id);
    return ids;
  }();
  return items;
}

const std::vector<Field>& visitFields() {
  static const std::vector<Field> list = withSpanish(visitList());
  return list;
}

const std::vector<Field>& sightingFields() {
  static const std::vector<Field> list = withSpanish({
      {"sighting_id", false, Id, "The sighting's own number", "id|sighting|sighting no|report id|report no|record|record id|ref|case no|case|call no"},
      {"date", true, Date, "Day of the sighting", "sighting date|date seen|seen on|when|day|report date|reported|reported on|datetime|date time|timestamp|call date|time|begin|fecha"},
      {"time", false, Time, "Time of day", "time seen|time of day|at|hour|report time"},
      {"lon", false, Longitude, "Longitude in degrees", "longitude|long|lng|x|gps lon|gps long|gps longitude|east"},
      {"lat", false, Latitude, "Latitude in degrees", "latitude|y|gps lat|gps latitude|north"},
      {"address", false, Address, "Address as typed (needed unless lon and lat are there)", "street address|full address|addr|location|where|place seen|site|street|near|address or corner|cross streets|intersection|direccion|lugar"},
      {"place", false, Text, "Town", "city|town|municipality|village|community"},
      {"postcode", false, Id, "Postal code", "zip|zip code|zipcode|postal code|post code"},
      {"what", false, Word, "dog, house, pen, chain, sign or heard", "type|kind|seen|what seen|what was seen|category|subject|sign"},
      {"count", false, Count, "How many", "number|dogs|number of dogs|how many|dog count|animals|no of dogs|number seen|qty"},
      {"description", false, Text, "Looks of the animal", "desc|breed|color|colour|dog description|appearance|markings|descripcion"},
      {"source", false, Word, "crew, caller or post", "reported by|how heard|source of report|origin|reporter|reported via|via"},
      {"notes", false, Text, "Anything else", "comments|comment|remarks|remark|memo|details|cmt|name|title|notas"},
      {"date_order", false, Setting, "mdy or dmy: which comes first in 3/4/2025", ""},
      {"time_zone", false, Setting, "The team's clock, to which times with a zone are converted: EST5EDT, CST6CDT, -05:00 ...", ""},
  });
  return list;
}

const std::vector<Field>& stockFields() {
  static const std::vector<Field> list = withSpanish({
      {"stock_id", false, Id, "The row's own number", "id|row|entry|no|number|record"},
      {"date", true, Date, "Day", "when|day|moved on|fecha"},
      {"move", true, Word, "in (bought or given to us), out (broken, expired, passed on), load (from the store onto a van), unload (from a van to the store), counted (what is there now)",
       "movement|what happened|type|kind|action|in out|in or out|direction"},
      {"item", true, Text, "What: straw, bowl, swivel, a product as the treatment log calls it", "what|thing|article|product|supply|supplies|name"},
      {"quantity", true, Number, "How many, in the unit in which it is given out; 0 where a count found none", "how many|count|amount|number|qty|pieces"},
      {"unit", false, Text, "bale, piece, dose", "units|of|measure"},
      {"van", false, Text, "Which van, called like its crew; blank: the store. Needed for load and unload", "crew|team|vehicle|where|place"},
      {"lot", false, Text, "Lot of a product", "batch|lot no|lot number"},
      {"use_by", false, Date, "Last day of use", "expires|expiry|expiry date|expiration|best before|use before"},
      {"cost", false, Number, "What was paid for the whole row", "price|paid|total|amount paid|costs"},
      {"date_order", false, Setting, "mdy or dmy: which comes first in 3/4/2025", ""},
  });
  return list;
}

}  // namespace leeward::importers
