#include <algorithm>
#include <array>
#include <optional>
#include <sstream>

#include "tests/checks/lint.h"

namespace leeward::checks {
namespace {

using Prefixes = std::vector<std::string_view>;

bool startsWithAny(std::string_view text, const Prefixes& prefixes) {
  return std::ranges::any_of(prefixes, [&](std::string_view prefix) { return text.starts_with(prefix); });
}

/// A room and what it may include of the house. The first that fits a file holds.
struct Room {
  std::string_view prefix;
  Prefixes may_include;
};
const std::vector<Room>& rooms() {
  static const std::vector<Room> all = {
      {"shared/", {"shared/"}},
      {"importers/", {"importers/", "shared/"}},
      // Pure computation: plain tables, geometry and the layer as a plain struct, neither files nor the ledger.
      {"analysis/", {"analysis/", "shared/base/", "shared/table/", "shared/geo/", "shared/layer/layer.h"}},
      {"viewer/study/", {"viewer/study/", "analysis/", "importers/", "shared/"}},
      {"viewer/draw/", {"viewer/draw/", "viewer/study/", "shared/"}},
      // Intervals are drawn beside the figures they belong to, where no use case gives them.
      {"viewer/sheets/", {"viewer/sheets/", "viewer/draw/", "viewer/study/", "shared/", "analysis/rates/intervals.h"}},
      {"viewer/command/", {"viewer/command/", "viewer/sheets/", "viewer/draw/", "viewer/study/", "shared/"}},
      {"viewer/window/", {"viewer/window/", "viewer/sheets/", "viewer/draw/", "viewer/study/", "shared/"}},
      {"sample-data/", {"sample-data/", "shared/"}},
      {"tests/", {"tests/", "shared/", "importers/", "analysis/", "viewer/", "sample-data/"}},
  };
  return all;
}

/// An outside library, its headers and where it may be met.
struct Library {
  std::string_view name;
  Prefixes headers;
  Prefixes allowed;
  bool in_headers = true;  ///< whether .h files of the allowed rooms may include it
};
const std::vector<Library>& libraries() {
  static const std::vector<Library> all = {
      {"GDAL", {"gdal", "ogr", "cpl_"}, {"shared/layer/", "tests/"}, false},
      {"GEOS", {"geos"}, {"shared/geo/"}},
      {"PROJ", {"proj", "geodesic.h"}, {"shared/geo/"}},
      {"SQLite", {"sqlite3", "spatialite"}, {"shared/ledger/", "tests/"}},
      {"libsodium", {"sodium"}, {"shared/base/"}},
      {"toml++", {"toml"}, {"viewer/study/"}},
      {"CLI11", {"CLI/"}, {"viewer/command/"}},
      {"libxlsxwriter", {"xlsxwriter"}, {"viewer/sheets/", "tests/"}},
      {"poppler", {"poppler/"}, {"viewer/sheets/", "tests/"}, false},
      {"Eigen", {"Eigen/"}, {"analysis/"}},
      {"Boost", {"boost/"}, {"analysis/"}},
      {"GLPK", {"glpk"}, {"analysis/", "tests/"}},
      {"nanoflann", {"nanoflann"}, {"analysis/"}},
      {"GoogleTest", {"gtest/", "gmock/", "benchmark/"}, {"tests/"}},
      {"Qt", {"Q", "moc_", "ui_"}, {"viewer/draw/", "viewer/sheets/", "viewer/window/", "tests/"}},
      {"fmt", {"fmt/"}, {""}},
      {"nlohmann-json", {"nlohmann/"}, {"shared/", "viewer/", "tests/"}},
  };
  return all;
}

/// Rooms whose public headers show no third-party type ...
const Prefixes kPlainHeaders = {"shared/", "importers/", "analysis/", "viewer/study/"};
/// ... but for these.
struct Exception {
  std::string_view file;
  std::string_view library;
  std::string_view reason;
};
constexpr std::array kExceptions = {
    Exception{"shared/base/result.h", "fmt", "every message to people is made with it where a Problem is made"},
    Exception{"shared/base/precompiled.h", "fmt", "no interface: what the compiler reads once for every .cpp"},
    Exception{"shared/geo/geos.h", "GEOS", "internal to shared/geo: owns GEOS handles for the .cpp files there"},
};

constexpr std::array<std::string_view, 9> kPosixFiles = {"pthread.h", "fcntl.h", "unistd.h", "malloc.h", "spawn.h", "poll.h", "signal.h", "pwd.h", "termios.h"};

/// <vector>, <cmath>: standard headers have neither dot nor slash nor capitals.
bool isStandard(std::string_view header) {
  const auto plain = [](char c) { return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '_'; };
  return std::ranges::all_of(header, plain);
}
bool isSystem(std::string_view header) { return header.starts_with("sys/") || std::ranges::find(kPosixFiles, header) != kPosixFiles.end(); }

struct Include {
  std::string header;
  bool quoted = false;
};
std::optional<Include> includeOf(std::string_view line) {
  const auto skip = [&line] { line.remove_prefix(std::min(line.find_first_not_of(" \t"), line.size())); };
  skip();
  if (!line.starts_with('#')) return std::nullopt;
  line.remove_prefix(1);
  skip();
  if (!line.starts_with("include")) return std::nullopt;
  line.remove_prefix(7);
  skip();
  if (line.empty() || (line[0] != '"' && line[0] != '<')) return Include{std::string(line), false};
  const bool quoted = line[0] == '"';
  line.remove_prefix(1);
  return Include{std::string(line.substr(0, line.find(quoted ? '"' : '>'))), quoted};
}

const Room* roomOf(std::string_view path) {
  const auto room = std::ranges::find_if(rooms(), [&](const Room& each) { return path.starts_with(each.prefix); });
  return room == rooms().end() ? nullptr : &*room;
}

std::optional<std::string> houseFault(std::string_view path, std::string_view header) {
  const Room* room = roomOf(path);
  if (room == nullptr) return "the file stands in no room of the house";
  if (roomOf(header) == nullptr) return "an include is written from the root: \"" + std::string(header) + "\"";
  if (startsWithAny(header, room->may_include)) return std::nullopt;
  return std::string(room->prefix) + " does not reach " + std::string(header);
}

std::optional<std::string> libraryFault(std::string_view path, std::string_view header) {
  const auto library = std::ranges::find_if(libraries(), [&](const Library& each) { return startsWithAny(header, each.headers); });
  const bool is_header = path.ends_with(".h");
  const std::string shown = "<" + std::string(header) + ">";
  if (library == libraries().end()) {
    if (isStandard(header) || isSystem(header)) return std::nullopt;
    return shown + " belongs to no library that this house uses";
  }
  if (!startsWithAny(path, library->allowed)) return std::string(library->name) + " is not met here: " + shown;
  if (is_header && !library->in_headers) return std::string(library->name) + " is met in .cpp files alone: " + shown;
  if (!is_header || !startsWithAny(path, kPlainHeaders)) return std::nullopt;
  const auto excepted = [&](const Exception& each) { return each.file == path && each.library == library->name; };
  if (std::ranges::any_of(kExceptions, excepted)) return std::nullopt;
  return "a public header shows no third-party type: " + shown;
}

}  // namespace

std::vector<Fault> includeFaults(const std::vector<Source>& sources) {
  std::vector<Fault> faults;
  for (const Source& source : sources) {
    std::istringstream lines(source.text);
    std::size_t number = 0;
    for (std::string line; std::getline(lines, line);) {
      ++number;
      const auto include = includeOf(line);
      if (!include) continue;
      auto fault = include->quoted ? houseFault(source.path, include->header) : libraryFault(source.path, include->header);
      if (fault) faults.push_back({source.path, number, *std::move(fault)});
    }
  }
  return faults;
}

}  // namespace leeward::checks
