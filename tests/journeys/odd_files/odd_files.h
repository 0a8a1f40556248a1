#pragma once
/// Bad and odd files: how each is made, what `take-in` must say of it, and what must be left as it was.
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace leeward::test {

/// Makes what is at a path: a file, or a folder.
using Maker = std::function<void(const std::filesystem::path&)>;

struct RefusedLine {
  std::uint64_t line;      ///< in the file, its headings are line 1
  const char* column;      ///< "" if the row as a whole is at fault
  const char* reason;      ///< part of it
};

/// One row of the table.
struct OddFile {
  const char* what;                     ///< in a person's words
  const char* kind;                     ///< as take-in takes it
  std::string name;                     ///< FILE, or FILE#LAYER
  Maker made;
  std::vector<std::string> more = {};   ///< further words of the call
  int status = 0;                       ///< exit status
  std::vector<const char*> said = {};   ///< each in the problem, or in the columns taken and the remarks
  const char* where = nullptr;          ///< what the problem's place must hold; null = the file's name
  std::size_t kept = 0;                 ///< rows that went in
  std::vector<RefusedLine> refused = {};  ///< all that did not, in order
};

/// Makes each file in a folder of its own beside a copy of a small study, takes it in and holds what came of it against the row.
/// Always: the file and all beside it are as they were, to the byte; no side files. On refusal also: the ledger, study.toml and all
/// else in the study are as they were, and the problem says what, where and how to mend it.
/// The study: four blocks around 84.6 W, 39.4 N with ids B1 to B4, forty doors on Elm St and Oak Ave, and both streets.
void expectAll(const std::vector<OddFile>& files);

Maker bytes(std::string content);
/// A workbook (XLSX); each sheet has rows of cells, numbers begin with '='.
struct MadeSheet {
  const char* name;
  std::vector<std::vector<std::string>> rows;
};
Maker workbook(std::vector<MadeSheet> sheets);

/// Layers written by GDAL's driver of that name: an id and a shape (WKT) a row.
struct MadeLayer {
  const char* name;
  int epsg;  ///< 0 = it does not say
  std::vector<std::pair<const char*, std::string>> rows;
};
Maker layers(const char* driver, std::vector<MadeLayer> list);
/// A shapefile without the parts with these endings.
Maker shapefile(MadeLayer layer, std::vector<std::string> without = {});
/// What a maker makes at `inside`, with everything beside it, as a ZIP.
Maker packed(const char* inside, Maker made);
/// The first `share` of what a maker makes.
Maker cutOff(double share, Maker made);

std::string feature(const std::string& id, const std::string& geometry);
std::string collection(const std::vector<std::string>& features);
/// A square of that side, its lower left corner given, as GeoJSON and as WKT.
std::string square(double x, double y, double side);
std::string squareWkt(double x, double y, double side);

}  // namespace leeward::test
