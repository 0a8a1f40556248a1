// A crew's pictures: time, place and hash go into the ledger, the originals stay as and where they are.
#include <gdal_priv.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "shared/base/hash.h"
#include "shared/ledger/ledger.h"
#include "tests/journeys/command/study_folder.h"
#include "tests/support/data.h"
#include "tests/support/picture.h"

namespace leeward::test {
namespace {

namespace fs = std::filesystem;

/// A grey JPEG of that size; its EXIF block is put in by the test.
std::string greyJpeg(int cells) {
  GDALAllRegister();
  const TemporaryFolder folder;
  const std::string file = (folder.path() / "grey.jpg").string();
  GDALDataset* grey = GetGDALDriverManager()->GetDriverByName("MEM")->Create("", cells, cells, 1, GDT_Byte, nullptr);
  GDALClose(GetGDALDriverManager()->GetDriverByName("JPEG")->CreateCopy(file.c_str(), grey, 0, nullptr, nullptr, nullptr));
  GDALClose(grey);
  return *readFile(file);
}

class PhotosTest : public testing::Test {
 protected:
  PhotosTest() {
    EXPECT_EQ(study_.call("take-in", {"premises", put(study_.beside("doors.csv"), "number,street,lon,lat\n101,Elm St,-84.60,39.40\n103,Elm St,-84.61,39.41\n")}).status, 0);
    fs::create_directories(folder() / "100");
    const std::string plain = greyJpeg(8);
    constexpr ExifPlace kHere = {{39, 24, 3600}, {84, 36, 3600}}, kFar = {{42, 18, 0}, {71, 6, 0}};
    put(folder() / "100/a.jpg", withExif(plain, exifBlock("2025:03:04 14:05:33", kHere)));
    put(folder() / "b.JPG", withExif(plain, exifBlock("0000:00:00 00:00:00", kNoFix)));
    put(folder() / "c.jpeg", withExif(plain, exifBlock("2025:03:04 14:05:33", kHere)));  // the same bytes as a.jpg
    put(folder() / "d.jpg", withExif(plain, exifBlock("2199:03:04 14:05:33", kHere)));
    put(folder() / "e.jpg", withExif(plain, exifBlock("2025:03:05 09:00:00", kFar)));
    put(folder() / "f.heic", std::string("\0\0\0\x18" "ftypheic", 12) + "xxxx");
    put(folder() / "g.jpg", plain.substr(0, 3));
    put(folder() / "h.jpg", plain);
    put(folder() / ".thumbs", "hidden");
  }
  fs::path folder() const { return study_.beside("card"); }
  nlohmann::json take(const std::string& file) const {
    const Ran ran = study_.call("take-in", {"photos", file, "--json"});
    EXPECT_EQ(ran.status, 0) << ran.err;
    return nlohmann::json::parse(ran.out, nullptr, false);
  }
  Table photos() const {
    const auto ledger = Ledger::open(study_.ledger());
    EXPECT_OK(ledger);
    const auto rows = ledger->read(Entity::Photos);
    EXPECT_OK(rows);
    return *rows;
  }
  const StudyFolder study_{"Fairford"};
};

TEST_F(PhotosTest, AFolderOfPicturesGoesInAndNothingOfItChanges) {
  std::map<std::string, std::string> before;
  for (const auto& file : filesIn(folder())) before[file.string()] = sha256Hex(*readFile(file));
  const auto told = take(folder().string());
  EXPECT_EQ(told["read"], 8);
  EXPECT_EQ(told["kept"], 4) << "a, b, h and c, which is a copy of a";
  EXPECT_EQ(told["added"], 3);
  EXPECT_EQ(told["refused"], 4);
  const std::string remarks = told["remarks"].dump();
  for (const char* said : {"2 pictures without a time", "2 pictures without a position", "1 picture that are copies"}) EXPECT_NE(remarks.find(said), std::string::npos) << said << ": " << remarks;
  for (const auto& file : filesIn(folder())) EXPECT_EQ(sha256Hex(*readFile(file)), before[file.string()]) << file;
  EXPECT_EQ(filesIn(folder()).size(), before.size()) << "nothing is written beside the pictures";

  const Table kept = photos();
  ASSERT_EQ(kept.rows(), 3U);
  EXPECT_EQ(field(kept, "file_name", 0), "100/a.jpg");
  EXPECT_EQ(field(kept, "source_key", 0), before[(folder() / "100/a.jpg").string()]);
  EXPECT_EQ(field(kept, "date", 0), "2025-03-04");
  EXPECT_EQ(field(kept, "time", 0), "14:05");
  EXPECT_NEAR(number(kept, "lon", 0), -84.61, 1e-9);  // 84 36' 36"
  EXPECT_NEAR(number(kept, "lat", 0), 39.41, 1e-9);
  EXPECT_EQ(field(kept, "date", 1), "") << "a clock that was never set";
  EXPECT_TRUE(kept.find("lon")->isMissing(1)) << "0, 0 is no fix";

  const Table refused = csvOfFile(study_.path() / "out/refused-photos.csv");
  ASSERT_EQ(refused.rows(), 4U);
  const std::vector<std::pair<const char*, const char*>> said = {{"d.jpg", "future"}, {"e.jpg", "50 km"}, {"f.heic", "HEIC"}, {"g.jpg", ""}};
  for (std::size_t row = 0; row < said.size(); ++row) {
    EXPECT_EQ(field(refused, "value", row), said[row].first);
    EXPECT_NE(field(refused, "reason", row).find(said[row].second), std::string::npos) << field(refused, "reason", row);
  }
  EXPECT_TRUE(isPrivate(study_.path() / "out/refused-photos.csv"));
}

TEST_F(PhotosTest, APictureIsKnownByItsContentAndCanBeTakenBack) {
  EXPECT_EQ(take((folder() / "100/a.jpg").string())["added"], 1);
  EXPECT_EQ(take((folder() / "100/a.jpg").string())["same_file_before"], true);
  const auto all = take(folder().string());
  EXPECT_EQ(all["added"], 2);
  EXPECT_EQ(all["known"], 1);
  auto ledger = Ledger::open(study_.ledger());
  ASSERT_OK(ledger);
  const auto imports = ledger->imports();
  ASSERT_OK(imports);
  ASSERT_EQ(imports->size(), 2U);
  EXPECT_EQ(imports->back().kind, "photos");
  EXPECT_EQ(imports->back().rows, 2U);
  Progress quiet;
  ASSERT_OK(ledger->takeBack(imports->back().import_id, false, quiet));
  EXPECT_EQ(*ledger->count(Entity::Photos), 1U);
  EXPECT_EQ(ledger->check()->size(), 0U);
}

TEST_F(PhotosTest, NothingThatCanBeUsedIsAProblemAndChangesNothing) {
  for (const auto& [file, words] : std::vector<std::pair<fs::path, const char*>>{
           {folder() / "f.heic", "HEIC"}, {folder() / "d.jpg", "camera's clock"}, {folder() / "none.jpg", "no such file"}, {study_.beside("doors.csv"), "no JPEG"}}) {
    const Ran ran = study_.call("take-in", {"photos", file.string()});
    EXPECT_EQ(ran.status, 3) << file;
    EXPECT_NE(ran.err.find(words), std::string::npos) << ran.err;
  }
  fs::create_directory(study_.beside("nothing"));
  EXPECT_EQ(study_.call("take-in", {"photos", study_.beside("nothing").string()}).status, 3);
  EXPECT_EQ(photos().rows(), 0U);
  EXPECT_FALSE(fs::exists(study_.path() / "out/refused-photos.csv"));
}

}  // namespace
}  // namespace leeward::test
