// The study file's text: a new one, and tables that take-in writes into it.
#include <sstream>
#include <string_view>
#include <vector>

#include <fmt/format.h>
#include <toml++/toml.h>

#include "shared/base/text.h"
#include "viewer/study/study_file.h"

namespace leeward::study {

std::string newStudyText(const std::string& name, const std::string& crs) {
  const auto quoted = [](const std::string& text) { return toml::value<std::string>(text); };
  std::ostringstream out;
  out << "# A Leeward study. Every key is optional; those behind # show their starting value.\n\n[study]\nname = " << quoted(name)
      << "\ncrs = " << quoted(crs) << R"(             # the frame for areas and distances; auto: equal-area, centred on the study
# seed = 1                 # of every random draw
# level = 0.90             # of every interval
# as_of = 2025-09-30       # freezes the figures at the end of a day; without it: today
# service_interval_days = 120   # a known dog is due so many days after its last visit, and overdue from the next day on
# top = 20                 # how many blocks "the top" means

# Public layers come in by: leeward take-in DIR KIND FILE
# (premises, streets, blocks, areas, census, heat, weather, jurisdictions, boundary, water, parks)

[looks]                    # chance that one look sees a dog kept outdoors there: one number, or winter, spring, summer, autumn.
# These are parameters, not estimates (common practice, no published source): set them to what your crews find.
# knock = [0.75, 0.8, 0.8, 0.8]
# street = [0.4, 0.5, 0.5, 0.5]
# call = 0.3
# track = [0.2, 0.25, 0.25, 0.25]
# half_life_days = 365     # after so long, half of what a look told no longer holds

[need]                     # shown beside the ranking, never multiplied into it
# indicators = [{ column = "B17001_002E", per = "B17001_001E", margin = "B17001_002M", direction = "more", weight = 1, label = "People in poverty", unit = "share" }]

[outings]
# start = [0.0, 0.0]       # lon, lat where crews set out; without it: the middle of the study
# crews = 1
# hours = 4
# minutes_per_door = 4
# minutes_per_visit = 25
# walking_kmh = 4
# driving_kmh = 30

[improved]                 # fewer unmet items, no new critical one, on full checks at least so many days apart
# days_apart = 28

[due]                      # days after which something is due again (common practice, no published source)
# note_days = 7            # call back after a note was left
# referral_days = 14       # ask again after a case was handed over and no answer is recorded
# straw_days = 14          # straw in so many days before the earliest frost that the weather days hold; out after the latest
# straw_bales = 1          # for each house
# urgent_hours = 24        # an animal left without water, with a wound, a collar that doesn't fit or starved: see it again within so many hours
# bring = { collar_fit = "collar", collar_kind = "collar", house = "house", tether = "tie-out", water = "bowl" }   # what puts right what was left unmet
# urgent_call = ["the veterinarian on call: ..."]   # your own list, shown beside each

[costs]                    # for changed --costs: hours are reckoned from [outings] minutes_per_door and minutes_per_visit
# currency = ""            # as printed
# crew_hour = 0            # what an hour of a crew costs; 0: hours alone are told
# share_beyond_doors = 0   # travel, typing ... on top of the hours at doors: 0.5 adds half
# prices = { straw = 8.5 } # of one of each thing given; for others the mean of what the stock list says was paid

[clusters]                 # of sightings
# within_m = 150
# at_least = 5

[patterns]                 # where planned looks find dogs more often than effort explains
# neighbours = "auto"      # blocks that touch; the six nearest where most blocks touch nobody; or "queen", "rook", "nearest:6", "within:250"
# permutations = 9999      # of each block's neighbours
# replicates = 999         # of the scan (199 without this line if over 5,000 blocks were looked at)
# largest = 0.5            # share of all effort that a circle of the scan may hold
# nearby_m = 300           # how far finds and looks are spread, to compare what lies near

[audiences]                # what hand-over keeps back: counts under a threshold; a point must be lost among k homes
# public_threshold = 5
# public_k = 20
# partner_threshold = 5
# partner_k = 5

[map]
# ground = "aerial.tif"    # a GeoTIFF of your own, drawn in grey beneath every map

[outputs]
# sheets = ["coverage", "next", "need", "sightings", "changed"]
# format = "pdf"           # or "svg", "png"
# briefs = ["board"]
# tables = ["next.csv", "workbook.xlsx"]
# changed_by = "jurisdictions"
# every = "quarter"
)";
  return out.str();
}

std::string withSource(const std::string& text, const std::string& kind, const SourceTable& source) {
  const auto quoted = [](const std::string& value) {
    std::ostringstream out;
    out << toml::value<std::string>(value);
    return out.str();
  };
  std::string table = "[" + kind + "]\n";
  const auto line = [&](const char* key, const std::string& value) {
    if (!value.empty()) table += fmt::format("{} = {}\n", key, quoted(value));
  };
  line("file", source.file);
  line("layer", source.layer);
  const auto pairs = [&](const char* key, const std::map<std::string, std::string>& values) {
    if (values.empty()) return;
    std::vector<std::string> written;
    for (const auto& [name, value] : values) {
      const bool bare = name.find_first_not_of("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-") == std::string::npos;
      written.push_back(fmt::format("{} = {}", bare && !name.empty() ? name : quoted(name), quoted(value)));
    }
    table += fmt::format("{} = {{ {} }}\n", key, join(written, ", "));
  };
  pairs("columns", source.columns);
  pairs("meanings", source.meanings);
  line("crs", source.crs);
  line("kind", source.kind);
  line("unit", source.unit);
  line("year", source.year);
  line("source", source.source);
  line("licence", source.licence);
  line("label", source.label);

  // The old table runs from its heading to the next heading, or to the end.
  std::string out;
  bool inside = false, placed = false;
  for (const auto piece : split(text, '\n')) {
    const auto stripped = trim(piece);
    if (stripped.starts_with('[')) {
      std::string heading(stripped.substr(0, stripped.find('#')));
      std::erase_if(heading, [](char c) { return c == ' ' || c == '\t' || c == '\r' || c == '"' || c == '\''; });
      inside = heading == "[" + kind + "]" || heading.starts_with("[" + kind + ".");  // its parts ([kind.columns]) are said anew too
      if (inside && !placed) {
        out += table + "\n";
        placed = true;
      }
    }
    if (!inside) out += std::string(piece) + "\n";
  }
  while (out.ends_with("\n\n")) out.pop_back();
  if (!placed) out += "\n" + table;
  return out;
}

}  // namespace leeward::study
