// How much memory taking in needs: what the program says of itself to the system when it ends (getrusage, ru_maxrss).
#include <fstream>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "tests/journeys/command/study_folder.h"
#include "tests/support/zip.h"

namespace leeward::test {
namespace {

constexpr double kMegabyte = 1e6;
constexpr double kMostBytesAByte = 14;  ///< of memory a byte of the file: 10.4 to 10.6 were measured at 24 and 149 MB, a third to spare

/// A visit log of about so many bytes, written as it is made.
std::string bigLog(const std::filesystem::path& file, double bytes) {
  std::ofstream out(file, std::ios::binary);
  out << "visit_id,date,time,crew,address,look,why_here,door_result,dogs_seen,notes\n";
  double written = 0;
  for (int i = 0; written < bytes; ++i) {
    const std::string row = fmt::format("V{},2025-{:02}-{:02},{:02}:{:02},north,{} Elm St,knock,planned,{},{},a note of some length about the gate and the yard {}\n", i, 1 + i % 6, 1 + i % 28, 8 + i % 10,
                                        i % 60, 1 + i % 9000, i % 3 == 0 ? "no_dog" : "nobody_home", i % 3, i);
    out << row;
    written += static_cast<double>(row.size());
  }
  return file.string();
}

TEST(MemoryTest, ALogInAFreshStudyIsReadInStretchesWhateverItsLength) {
  std::vector<double> peaks;
  for (const double size : {36 * kMegabyte, 72 * kMegabyte}) {
    const StudyFolder study("Fairford");
    const Ran ran = study.call("take-in", {"visits", bigLog(study.beside("log.csv"), size)});
    ASSERT_EQ(ran.status, 0) << ran.err;
    peaks.push_back(ran.peak_bytes);
  }
  RecordProperty("peaks", fmt::format("{:.0f} MB at 36 MB, {:.0f} MB at 72 MB", peaks[0] / kMegabyte, peaks[1] / kMegabyte));
  EXPECT_LT(peaks[1], 250 * kMegabyte) << "SQLite's pages (64 MB), a stretch on its way in and one being written";
  EXPECT_LT(peaks[1] - peaks[0], 20 * kMegabyte) << "what grows is where rows may be parted: 12 bytes a row";
}

TEST(MemoryTest, ALogBesideEarlierRowsIsHeldOnceAndNotSeveralTimes) {
  const StudyFolder study("Fairford");
  const Ran small = study.call("take-in", {"visits", bigLog(study.beside("small.csv"), 0.1 * kMegabyte)});
  ASSERT_EQ(small.status, 0) << small.err;
  const double size = 24 * kMegabyte;
  const Ran large = study.call("take-in", {"visits", bigLog(study.beside("large.csv"), size)});
  ASSERT_EQ(large.status, 0) << large.err;
  RecordProperty("bytes_a_byte", fmt::format("{:.2f}", (large.peak_bytes - small.peak_bytes) / size));
  EXPECT_LT(large.peak_bytes - small.peak_bytes, kMostBytesAByte * size) << "bytes of memory a byte of the file: " << (large.peak_bytes - small.peak_bytes) / size;
}

TEST(MemoryTest, OnlyPlainTextMayHaveAnyLength) {
  const StudyFolder study("Fairford");
  const auto file = study.beside("huge.xlsx");
  put(file, "PK\x03\x04");
  std::filesystem::resize_file(file, 1'000'000'000);  // a hole: no disk is written
  const Ran ran = study.call("take-in", {"visits", file.string()});
  EXPECT_EQ(ran.status, 4) << ran.err;
  for (const char* said : {"1,000 MB", "150 MB", "huge.xlsx", "CSV"}) EXPECT_NE(ran.err.find(said), std::string::npos) << ran.err;
  EXPECT_LT(ran.peak_bytes, 150 * kMegabyte);
  EXPECT_LT(ran.seconds, 5);
}

TEST(MemoryTest, AProblemFarIntoALongLogLeavesTheStudyAsItWas) {
  const StudyFolder study("Fairford");
  const auto file = study.beside("log.csv");
  // The same day, crew and address twice, far apart and written differently, so that it is found only when both were read.
  std::string text = "date,crew,address,dogs_met,dog_name\n2025-03-04,north,1 Elm St,1,Rex\n";
  for (int i = 0; text.size() < 3'000'000; ++i) text += fmt::format("2025-{:02}-{:02},north,{} Oak St,0,\n", 1 + i % 6, 1 + i % 28, 100 + i);
  put(file, text + "3/4/2025,north,1 Elm St,1,Bea\n3/25/2025,north,1 Elm St,1,Bea\n");
  const Ran ran = study.call("take-in", {"visits", file.string()});
  EXPECT_EQ(ran.status, 3) << ran.err;
  for (const char* said : {"1 Elm St", "2025-03-04", "Sort the file"}) EXPECT_NE(ran.err.find(said), std::string::npos) << ran.err;
  EXPECT_EQ(study.call("take-back", {}).out.find("log.csv"), std::string::npos);
  EXPECT_FALSE(std::filesystem::exists(study.path() / "out" / "refused-visits.csv"));
}

TEST(MemoryTest, HostileArchivesStaySmall) {
  const StudyFolder study("Fairford");
  const std::string run = deflatedRun("<a>", 40'000'000);
  for (const auto& [name, bytes] : std::vector<std::pair<const char*, std::string>>{
           {"big.xlsx", Zip().add("xl/styles.xml", "<a/>").claim("xl/workbook.xml", 10, 3'000'000'000U).bytes()},
           {"ratio.ods", Zip().add("mimetype", "x").claim("content.xml", 20, 900'000'000).bytes()},
           {"lying.xlsx", Zip().addDeflated("xl/workbook.xml", run, 1000).bytes()},
           {"lying.kmz", Zip().addDeflated("doc.kml", run, 1000).bytes()}}) {
    const Ran ran = study.call("take-in", {"visits", put(study.beside(name), bytes)});
    EXPECT_EQ(ran.status, 4) << name << ": " << ran.err;
    EXPECT_LT(ran.peak_bytes, 150 * kMegabyte) << name;
    EXPECT_LT(ran.seconds, 5) << name;
  }
}

}  // namespace
}  // namespace leeward::test
