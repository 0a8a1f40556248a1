#pragma once
/// The study file (study.toml): what a team tells the program about its area, files and ways.
///
/// Every key is optional but the files. Reading never changes the file; take-in replaces the one table that it is
/// about and leaves the rest, comments included, as it stands.
#include <array>
#include <cstdint>
#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "shared/base/dates.h"
#include "shared/base/result.h"
#include "shared/geo/geometry.h"

namespace leeward::study {

/// One public layer that the study names.
struct SourceTable {
  std::string file;                            ///< as written; relative paths start at the study's folder
  std::string layer;                           ///< in a file of several
  std::map<std::string, std::string> columns;  ///< field -> column
  std::string crs;                             ///< for files that don't say
  std::string kind, unit;                      ///< heat: land surface, air, index, proxy; °C ...
  std::string year, source, licence, label;
  std::map<std::string, std::string> meanings;  ///< census: column -> what the file's second row of headings says of it
};

/// Kinds of public layer, in the order in which a study file lists them.
const std::vector<std::string>& layerKinds();
/// Kinds of layers that figures can be counted by: jurisdictions, areas, blocks, boundary.
const std::vector<std::string>& areaKinds();
/// "Address points", "Streets" ... as readers see a kind.
std::string layerLabel(const std::string& kind);

/// Whether a heat layer may say that it measures this: land surface, air, index, proxy.
bool isHeatKind(const std::string& kind);

struct Indicator {
  std::string column;    ///< of the census table, or "heat"
  std::string per;       ///< census column to divide by (counts become shares), "" none
  std::string direction = "more";  ///< more: a higher value means more need; less: the other way round
  double weight = 1;
  std::string label, unit, margin;
};

struct StudyFile {
  std::filesystem::path folder;

  // [study]
  std::string name;
  std::string crs = "auto";
  std::uint64_t seed = 1;
  double level = 0.90;
  std::optional<Date> as_of;
  int service_interval_days = 120;
  int top_k = 20;

  std::map<std::string, SourceTable> sources;  ///< by kind
  /// [visits], [sightings]: which columns the crew's files had the last time, by kind: field -> column.
  std::map<std::string, std::map<std::string, std::string>> crew_columns;

  // [looks]: chance that one look of a kind sees a dog that is kept outdoors there; parameters, not estimates
  /// by look (knock, street, call, track), then by season (winter, spring, summer, autumn)
  std::map<std::string, std::array<double, 4>> chance_of_seeing;
  double half_life_days = 365;

  std::vector<Indicator> indicators;  // [need]

  struct Outings {  // [outings]
    std::optional<Point> start_lon_lat;
    int crews = 1;
    double hours = 4;
    double minutes_per_door = 4;
    double minutes_per_visit = 25;
    double walking_kmh = 4;
    double driving_kmh = 30;
  } outings;

  struct Improved {  // [improved]
    int days_apart = 28;
  } improved;

  struct Due {  // [due]
    int note_days = 7;       ///< call back so long after a note was left
    int referral_days = 14;  ///< ask again so long after a case was handed over without an answer
    int straw_days = 14;     ///< straw in so long before the earliest frost of the station's record
    int straw_bales = 1;     ///< for each house
    int urgent_hours = 24;   ///< within so many an animal left in danger is seen again
    /// What puts right an item of the check that was left unmet.
    std::map<std::string, std::string> bring = {{"collar_fit", "collar"}, {"collar_kind", "collar"}, {"house", "house"}, {"tether", "tie-out"}, {"water", "bowl"}};
    std::vector<std::string> urgent_call;  ///< whom to call: the team's own list, printed as it stands
  } due;

  struct Costs {  // [costs]
    std::string currency;                  ///< as printed; "" none
    double crew_hour = 0;                  ///< what an hour of a crew costs; 0: only hours are told
    double share_beyond_doors = 0;         ///< travel, typing and the like, on top of the hours at doors
    std::map<std::string, double> prices;  ///< of one of each thing given
  } costs;

  struct Clusters {  // [clusters]
    double within_m = 150;
    int at_least = 5;
  } clusters;

  struct Patterns {  // [patterns]: where planned looks find dogs more often than effort explains
    std::string neighbours = "auto";  ///< queen, or the six nearest where over a third of the blocks touch nobody; or queen, rook, nearest:K, within:METRES
    int permutations = 9999;
    int replicates = 0;               ///< of the scan; 0: 999, or 199 above 5,000 blocks with effort
    double largest = 0.5;             ///< share of all effort that a scan's window may hold
    double nearby_m = 300;            ///< standard deviation of the kernel that finds and looks are spread by
  } patterns;

  /// [audiences] public_threshold, public_k, partner_threshold, partner_k
  struct AudienceRule {
    int threshold = 5;  ///< counts under it are withheld
    int k = 20;         ///< homes among which a point must be lost
  };
  std::map<std::string, AudienceRule> audiences = {{"public", {5, 20}}, {"partner", {5, 5}}};

  struct Map {  // [map]
    std::string ground;  ///< a GeoTIFF of the team's own that lies beneath every map: an aerial photograph, a scanned plan; "" none
  } map;

  struct Outputs {  // [outputs]
    std::vector<std::string> sheets = {"coverage", "next", "need", "sightings", "changed"};
    std::string format = "pdf";
    std::vector<std::string> briefs = {"board"};
    std::vector<std::string> tables = {"next.csv", "workbook.xlsx"};
    std::string changed_by = "jurisdictions";
    std::string every = "quarter";
  } outputs;

  std::filesystem::path file() const { return folder / "study.toml"; }
  std::filesystem::path ledger() const { return folder / "ledger.sqlite"; }
  std::filesystem::path cache() const { return folder / "cache"; }
  std::filesystem::path ground() const;  ///< [map] ground, made absolute; "" none
  std::filesystem::path out() const { return folder / "out"; }
  /// A source's file, made absolute.
  std::filesystem::path pathOf(const SourceTable& source) const;
};

/// Reads DIR/study.toml. NotFound (no folder, no file); BadData with line and key for a syntax error, an unknown
/// key, a value of a wrong type or outside its range. A sealed study is opened here: who asks for passphrases is asked for its own
/// (shared/base/seal.h), and its Problem is given on.
Result<StudyFile> readStudyFile(const std::filesystem::path& folder);
/// The text of a new study file, every key shown with a comment.
std::string newStudyText(const std::string& name, const std::string& crs);
/// Replaces (or adds) one table `[kind]` in the text, leaving everything else as it is.
std::string withSource(const std::string& text, const std::string& kind, const SourceTable& source);

}  // namespace leeward::study
