#include "tests/journeys/odd_files/odd_files.h"

#include <fstream>
#include <map>

#include <fmt/format.h>
#include <gdal_priv.h>
#include <nlohmann/json.hpp>
#include <ogrsf_frmts.h>
#include <xlsxwriter.h>

#include "shared/base/hash.h"
#include "tests/journeys/command/study_folder.h"
#include "tests/support/data.h"
#include "tests/support/zip.h"

namespace leeward::test {
namespace fs = std::filesystem;
namespace {

/// The study that all files are taken into, made once.
const StudyFolder& fairford() {
  static const StudyFolder study("Fairford");
  static const bool made = [] {
    const std::vector<std::string> blocks = {feature("B1", square(-84.61, 39.39, 0.01)), feature("B2", square(-84.60, 39.39, 0.01)),
                                             feature("B3", square(-84.61, 39.40, 0.01)), feature("B4", square(-84.60, 39.40, 0.01))};
    std::string doors = "number,street,lon,lat\n";
    for (int i = 0; i < 20; ++i) {
      doors += fmt::format("{},Elm St,{:.5f},39.39500\n{},Oak Ave,{:.5f},39.40500\n", 101 + 2 * i, -84.609 + i * 0.0009, 101 + 2 * i, -84.609 + i * 0.0009);
    }
    const auto take = [&](const char* kind, const std::string& name, const std::string& content) {
      const Ran ran = study.call("take-in", {kind, put(study.beside(name), content)});
      EXPECT_EQ(ran.status, 0) << ran.err;
    };
    take("blocks", "blocks.geojson", collection(blocks));
    take("premises", "doors.csv", doors);
    return true;
  }();
  EXPECT_TRUE(made);
  return study;
}

/// Contents by path below a folder; of a ledger without SQLite's file header of 100 bytes (sqlite.org/fileformat2.html, 1.3): opening it
/// writes there that it is open, and that it isn't any more.
std::map<std::string, std::string> contentsOf(const fs::path& folder) {
  std::map<std::string, std::string> contents;
  for (const auto& file : filesIn(folder)) {
    const auto read = readFile(file);
    EXPECT_OK(read);
    const std::size_t skipped = file.extension() == ".sqlite" ? 100 : 0;
    contents[fs::relative(file, folder).string()] = read.ok() && read->size() >= skipped ? sha256Hex(std::string_view(*read).substr(skipped)) : "";
  }
  return contents;
}

void expectSaid(const OddFile& file, const Ran& ran) {
  for (const char* words : file.said) EXPECT_NE(ran.err.find(words), std::string::npos) << "\"" << words << "\" is not in: " << ran.err;
}

void expectRefused(const OddFile& file, const Ran& ran, const nlohmann::json& told) {
  ASSERT_TRUE(told.contains("problem")) << ran.out << ran.err;
  const auto& problem = told["problem"];
  for (const char* part : {"what", "where", "mend"}) EXPECT_FALSE(problem[part].get<std::string>().empty()) << part << ": " << ran.err;
  const std::string where = problem["where"].get<std::string>();
  const std::string expected = file.where != nullptr ? file.where : fs::path(file.name.substr(0, file.name.find('#'))).filename().string();
  EXPECT_NE(where.find(expected), std::string::npos) << where << " does not say " << expected;
}

void expectTaken(const OddFile& file, const Ran& ran, const nlohmann::json& told, const fs::path& study) {
  ASSERT_TRUE(told.contains("kept")) << ran.out << ran.err;
  EXPECT_EQ(told["kept"].get<std::size_t>(), file.kept) << ran.err;
  ASSERT_EQ(told["refused"].get<std::size_t>(), file.refused.size()) << ran.err << told["refused_file"];
  if (file.refused.empty()) return;
  const Table listed = csvOfFile(study / "out" / (std::string("refused-") + file.kind + ".csv"));
  ASSERT_EQ(listed.rows(), file.refused.size());
  for (std::size_t row = 0; row < listed.rows(); ++row) {
    EXPECT_EQ(field(listed, "line", row), std::to_string(file.refused[row].line));
    EXPECT_EQ(field(listed, "column", row), file.refused[row].column) << field(listed, "reason", row);
    EXPECT_NE(field(listed, "reason", row).find(file.refused[row].reason), std::string::npos)
        << "\"" << file.refused[row].reason << "\" is not in: " << field(listed, "reason", row);
  }
}

void expectOne(const OddFile& file) {
  SCOPED_TRACE(file.what);
  const TemporaryFolder folder;
  const fs::path study = folder.path() / "study", beside = folder.path() / "files";
  fs::copy(fairford().path(), study, fs::copy_options::recursive);
  fs::create_directory(beside);
  const std::string bare = file.name.substr(0, file.name.find('#'));
  if (file.made) file.made(beside / bare);
  const auto files = contentsOf(beside), before = contentsOf(study);
  std::vector<std::string> words = {"take-in", study.string(), file.kind, (beside / file.name).string(), "--json"};
  words.insert(words.end(), file.more.begin(), file.more.end());
  const Ran ran = leeward(words);
  EXPECT_EQ(ran.status, file.status) << ran.err;
  expectSaid(file, ran);
  const auto told = nlohmann::json::parse(ran.out, nullptr, false);
  ASSERT_TRUE(told.is_object()) << ran.out << ran.err;
  EXPECT_EQ(contentsOf(beside), files) << "what was given was altered, or something was written beside it";
  const auto after = contentsOf(study);
  if (file.status != 0) {
    expectRefused(file, ran, told);
    EXPECT_EQ(after, before) << "a refusal left something behind, or changed the study";
    return;
  }
  expectTaken(file, ran, told, study);
  for (const auto& [name, hash] : after) {
    EXPECT_TRUE(before.contains(name) || name.starts_with("out/") || name.starts_with("cache/") || name.starts_with(".cache/")) << name << " was left behind";
  }
}

}  // namespace

void expectAll(const std::vector<OddFile>& files) {
  for (const OddFile& file : files) expectOne(file);
}

Maker bytes(std::string content) {
  return [content = std::move(content)](const fs::path& path) { put(path, content); };
}

Maker workbook(std::vector<MadeSheet> sheets) {
  return [sheets = std::move(sheets)](const fs::path& path) {
    lxw_workbook* book = workbook_new(path.c_str());
    for (const MadeSheet& made : sheets) {
      lxw_worksheet* sheet = workbook_add_worksheet(book, made.name);
      for (std::size_t r = 0; r < made.rows.size(); ++r) {
        for (std::size_t c = 0; c < made.rows[r].size(); ++c) {
          const std::string& cell = made.rows[r][c];
          const auto row = static_cast<lxw_row_t>(r);
          const auto column = static_cast<lxw_col_t>(c);
          if (cell.starts_with('=')) worksheet_write_number(sheet, row, column, std::stod(cell.substr(1)), nullptr);
          else if (!cell.empty()) worksheet_write_string(sheet, row, column, cell.c_str(), nullptr);
        }
      }
    }
    EXPECT_EQ(workbook_close(book), LXW_NO_ERROR);
  };
}

Maker layers(const char* driver, std::vector<MadeLayer> list) {
  return [driver, list = std::move(list)](const fs::path& path) {
    GDALAllRegister();
    GDALDataset* dataset = GetGDALDriverManager()->GetDriverByName(driver)->Create(path.c_str(), 0, 0, 0, GDT_Unknown, nullptr);
    ASSERT_NE(dataset, nullptr) << path;
    for (const MadeLayer& made : list) {
      OGRSpatialReference reference;
      if (made.epsg != 0) reference.importFromEPSG(made.epsg);
      reference.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
      std::vector<OGRGeometry*> shapes;
      for (const auto& [id, wkt] : made.rows) {
        OGRGeometry* shape = nullptr;
        if (!wkt.empty()) OGRGeometryFactory::createFromWkt(wkt.c_str(), nullptr, &shape);
        shapes.push_back(shape);
      }
      const auto type = shapes.empty() || shapes.front() == nullptr ? wkbUnknown : shapes.front()->getGeometryType();
      OGRLayer* layer = dataset->CreateLayer(made.name, made.epsg != 0 ? &reference : nullptr, type, nullptr);
      ASSERT_NE(layer, nullptr);
      OGRFieldDefn column("id", OFTString);
      ASSERT_EQ(layer->CreateField(&column), OGRERR_NONE);
      for (std::size_t row = 0; row < shapes.size(); ++row) {
        OGRFeature feature(layer->GetLayerDefn());
        feature.SetField("id", made.rows[row].first);
        feature.SetGeometryDirectly(shapes[row]);
        ASSERT_EQ(layer->CreateFeature(&feature), OGRERR_NONE);
      }
    }
    GDALClose(dataset);
  };
}

Maker shapefile(MadeLayer layer, std::vector<std::string> without) {
  return [layer = std::move(layer), without = std::move(without)](const fs::path& path) {
    layers("ESRI Shapefile", {layer})(path);
    for (const std::string& ending : without) EXPECT_TRUE(fs::remove(fs::path(path).replace_extension(ending))) << ending;
  };
}

Maker packed(const char* inside, Maker made) {
  return [inside = std::string(inside), made = std::move(made)](const fs::path& path) {
    const TemporaryFolder folder;
    fs::create_directories((folder.path() / inside).parent_path());
    made(folder.path() / inside);
    Zip zip;
    for (const auto& file : filesIn(folder.path())) zip.add(fs::relative(file, folder.path()).string(), *readFile(file));
    put(path, zip.bytes());
  };
}

Maker cutOff(double share, Maker made) {
  return [share, made = std::move(made)](const fs::path& path) {
    made(path);
    fs::resize_file(path, static_cast<std::uintmax_t>(share * static_cast<double>(fs::file_size(path))));
  };
}

std::string feature(const std::string& id, const std::string& geometry) {
  return R"({"type":"Feature","properties":{"id":")" + id + R"("},"geometry":)" + geometry + "}";
}

std::string collection(const std::vector<std::string>& features) {
  std::string all;
  for (const auto& one : features) all += (all.empty() ? "" : ",") + one;
  return R"({"type":"FeatureCollection","features":[)" + all + "]}";
}

std::string square(double x, double y, double side) {
  return fmt::format(R"({{"type":"Polygon","coordinates":[[[{0:.6f},{1:.6f}],[{2:.6f},{1:.6f}],[{2:.6f},{3:.6f}],[{0:.6f},{3:.6f}],[{0:.6f},{1:.6f}]]]}})", x, y, x + side, y + side);
}

std::string squareWkt(double x, double y, double side) {
  return fmt::format("POLYGON (({0:.6f} {1:.6f},{2:.6f} {1:.6f},{2:.6f} {3:.6f},{0:.6f} {3:.6f},{0:.6f} {1:.6f}))", x, y, x + side, y + side);
}

}  // namespace leeward::test
