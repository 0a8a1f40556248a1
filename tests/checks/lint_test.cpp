// Each rule catches one violation of its kind in a made-up folder, and leaves what is right alone.
#include "tests/checks/lint.h"

#include <gtest/gtest.h>

#include "shared/base/files.h"
#include "tests/support/data.h"

namespace leeward {
namespace {

using checks::Fault;

/// A folder with one file in it, or several.
class LintTest : public testing::Test {
 protected:
  void write(const std::string& file, const std::string& text) {
    std::filesystem::create_directories((folder_.path() / file).parent_path());
    ASSERT_OK(writeFile(folder_.path() / file, text));
  }
  std::vector<checks::Source> sources() const { return checks::readSources(folder_.path()); }
  TemporaryFolder folder_;
};

struct Case {
  const char* file;
  const char* include;
  const char* rule;  ///< part of what is said; "" if it is allowed
};

const Case kCases[] = {
    // directions
    {"shared/base/a.cpp", "\"importers/visits.h\"", "does not reach"},
    {"shared/base/a.cpp", "\"tests/support/data.h\"", "does not reach"},
    {"importers/a.cpp", "\"analysis/place/parse.h\"", "does not reach"},
    {"analysis/need/a.cpp", "\"importers/visits.h\"", "does not reach"},
    {"analysis/need/a.cpp", "\"viewer/study/findings.h\"", "does not reach"},
    {"analysis/need/a.cpp", "\"shared/ledger/ledger.h\"", "does not reach"},
    {"viewer/study/a.cpp", "\"viewer/draw/type.h\"", "does not reach"},
    {"viewer/draw/a.cpp", "\"viewer/sheets/sheet.h\"", "does not reach"},
    {"viewer/sheets/a.cpp", "\"viewer/window/main_window.h\"", "does not reach"},
    {"viewer/sheets/a.cpp", "\"analysis/need/rank.h\"", "does not reach"},
    {"viewer/command/a.cpp", "\"viewer/window/main_window.h\"", "does not reach"},
    {"viewer/window/a.cpp", "\"viewer/command/verbs.h\"", "does not reach"},
    {"viewer/command/a.cpp", "\"analysis/place/parse.h\"", "does not reach"},
    {"viewer/window/a.cpp", "\"importers/visits.h\"", "does not reach"},
    {"viewer/study/a.cpp", "\"importers/visits.h\"", ""},
    {"viewer/sheets/a.cpp", "\"analysis/rates/intervals.h\"", ""},
    {"viewer/command/a.cpp", "\"viewer/sheets/sheet.h\"", ""},
    // paths
    {"shared/base/a.cpp", "\"text.h\"", "from the root"},
    {"shared/base/a.cpp", "\"../table/table.h\"", "from the root"},
    {"shared/base/a.cpp", "<shared/base/text.h>", "no library"},
    // libraries
    {"viewer/study/a.cpp", "<QString>", "Qt is not met here"},
    {"viewer/command/a.cpp", "<QApplication>", "Qt is not met here"},
    {"viewer/window/a.h", "<QWidget>", ""},
    {"importers/a.cpp", "<gdal_priv.h>", "GDAL is not met here"},
    {"shared/geo/a.cpp", "<ogr_geometry.h>", "GDAL is not met here"},
    {"shared/base/a.cpp", "<cpl_conv.h>", "GDAL is not met here"},
    {"shared/layer/a.h", "<ogrsf_frmts.h>", "in .cpp files alone"},
    {"shared/layer/a.cpp", "<ogrsf_frmts.h>", ""},
    {"analysis/overlay/a.cpp", "<geos_c.h>", "GEOS is not met here"},
    {"shared/layer/a.cpp", "<proj.h>", "PROJ is not met here"},
    {"viewer/study/a.cpp", "<sqlite3.h>", "SQLite is not met here"},
    {"shared/layer/a.cpp", "<spatialite/gaiageo.h>", "SQLite is not met here"},
    {"shared/ledger/a.cpp", "<sodium.h>", "libsodium is not met here"},
    {"viewer/command/a.cpp", "<toml++/toml.h>", "toml++ is not met here"},
    {"viewer/study/a.cpp", "<CLI/CLI.hpp>", "CLI11 is not met here"},
    {"viewer/command/a.cpp", "<xlsxwriter.h>", "libxlsxwriter is not met here"},
    {"shared/geo/a.cpp", "<Eigen/Dense>", "Eigen is not met here"},
    {"viewer/study/a.cpp", "<boost/math/distributions/normal.hpp>", "Boost is not met here"},
    {"shared/geo/a.cpp", "<nanoflann.hpp>", "nanoflann is not met here"},
    {"viewer/study/a.cpp", "<gtest/gtest.h>", "GoogleTest is not met here"},
    {"analysis/rates/a.cpp", "<boost/math/distributions/normal.hpp>", ""},
    {"shared/base/a.cpp", "<curl/curl.h>", "no library"},
    // public headers
    {"analysis/rates/a.h", "<Eigen/Dense>", "third-party"},
    {"viewer/study/a.h", "<toml++/toml.h>", "third-party"},
    {"shared/geo/a.h", "<geos_c.h>", "third-party"},
    {"importers/a.h", "<fmt/format.h>", "third-party"},
    {"shared/geo/geos.h", "<geos_c.h>", ""},
    {"shared/base/a.cpp", "<sys/stat.h>", ""},
    {"shared/base/a.h", "<vector>", ""},
};

TEST_F(LintTest, EveryForbiddenIncludeIsCaughtAndNoAllowedOne) {
  for (const Case& each : kCases) {
    SCOPED_TRACE(std::string(each.file) + " includes " + each.include);
    const auto faults = checks::includeFaults({{each.file, "#pragma once\n#  include " + std::string(each.include) + "  // why\n"}});
    if (*each.rule == '\0') {
      EXPECT_TRUE(faults.empty()) << (faults.empty() ? "" : faults[0].rule);
      continue;
    }
    ASSERT_EQ(faults.size(), 1U);
    EXPECT_EQ(faults[0].file, each.file);
    EXPECT_EQ(faults[0].line, 2U);
    EXPECT_THAT(faults[0].rule, testing::HasSubstr(each.rule));
  }
}

TEST_F(LintTest, FilesAreFoundInTheFolder) {
  write("analysis/need/a.h", "#include <vector>\n");
  write("analysis/need/deep/b.cpp", "\n\n#include \"importers/visits.h\"\n");
  write("build/c.cpp", "#include \"importers/visits.h\"\n");
  write("analysis/notes.md", "#include \"importers/visits.h\"\n");
  ASSERT_EQ(sources().size(), 2U);
  const auto faults = checks::includeFaults(sources());
  ASSERT_EQ(faults.size(), 1U);
  EXPECT_EQ(faults[0].file, "analysis/need/deep/b.cpp");
  EXPECT_EQ(faults[0].line, 3U);
}

TEST_F(LintTest, AnEmptyFolderIsAnErrorNotAPass) { EXPECT_THROW(sources(), std::runtime_error); }

TEST_F(LintTest, TwoTypesOfOneNameInOneNamespaceAreCaught) {
  write("analysis/need/a.h", "namespace leeward::analysis {\nstruct Ranking {\n  struct Row { int a; };\n};\n}\n");
  write("analysis/need/b.h", "namespace leeward {\nnamespace analysis {\n\nclass Ranking final : public Base {\n};\n}\n}\n");
  write("analysis/need/c.h", "namespace leeward::study { struct Ranking {}; struct Row {}; enum class Kind : int { A }; }\n");
  write("viewer/study/d.cpp", "namespace leeward::study { enum class Kind { B }; }\n");
  const auto faults = checks::typeFaults(sources());
  ASSERT_EQ(faults.size(), 2U);
  EXPECT_EQ(faults[0].file, "analysis/need/b.h");
  EXPECT_EQ(faults[0].line, 4U);
  EXPECT_THAT(faults[0].rule, testing::HasSubstr("leeward::analysis::Ranking is defined in analysis/need/a.h:2"));
  EXPECT_THAT(faults[1].rule, testing::HasSubstr("leeward::study::Kind"));
}

TEST_F(LintTest, WhatIsNoSecondTypeIsLeftAlone) {
  write("shared/a.h", "namespace leeward {\nstruct Box { int a = 1'000; };\ntemplate <class T> struct Of {};\n}\n");
  write("shared/b.h",
        "namespace leeward {\nstruct Box;\nclass Other { Box box; };\nenum class Later : int;\n"
        "// struct Box {\n/* struct Box { */\nconst char* kText = \"struct Box {\"; const char* kRaw = R\"x(struct Box {)x\";\n"
        "#define BOX struct Box {\ntemplate <> struct Of<int> {};\nstruct Box make() { return {}; }\n"
        "namespace { struct Box {}; }\nnamespace inner { struct Box {}; }\nvoid f() { struct Box {}; }\n}\n");
  write("tests/unit/one/a.cpp", "struct Town {};\n");
  write("tests/unit/two/a.cpp", "struct Town {};\n");  // another program
  for (const Fault& fault : checks::typeFaults(sources())) ADD_FAILURE() << fault.file << ':' << fault.line << ' ' << fault.rule;
}

TEST_F(LintTest, AFileOfMoreThanFourHundredLinesIsCaught) {
  write("shared/long.cpp", std::string(401, '\n'));
  write("shared/short.cpp", std::string(400, '\n'));
  const auto faults = checks::lengthFaults(sources());
  ASSERT_EQ(faults.size(), 1U);
  EXPECT_EQ(faults[0].file, "shared/long.cpp");
}

}  // namespace
}  // namespace leeward
