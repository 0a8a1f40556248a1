// A sealed study as a team works with it, and what a copy of its folder tells who lacks the passphrase.
#include <cstring>
#include <set>
#include <unordered_map>

#include <fcntl.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>
#include <unistd.h>

#include "shared/base/seal.h"
#include "shared/base/text.h"
#include "shared/ledger/ledger.h"
#include "tests/journeys/command/study_folder.h"
#include "tests/support/data.h"

namespace leeward::test {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;

constexpr const char* kPhrase = "gravel umbrella seven lantern";

/// The command with lines of passphrases behind a descriptor.
Ran callWith(const StudyFolder& study, const std::string& lines, const std::string& verb, std::vector<std::string> words = {}) {
  const auto file = put(study.beside("phrase.txt"), lines);
  const int descriptor = ::open(file.c_str(), O_RDONLY);  // the program inherits it
  words.insert(words.end(), {"--passphrase-fd", std::to_string(descriptor)});
  Ran ran = study.call(verb, std::move(words));
  ::close(descriptor);
  fs::remove(file);
  return ran;
}

/// All that the crew's files say of people, as bytes that a search would look for: texts of some length and positions.
std::set<std::string> privateWords() {
  std::set<std::string> words;
  for (const char* name : {"visits.csv", "sightings.csv"}) {
    const Table rows = csvOfFile(townFile(name));
    for (const char* column : {"address", "household", "phone", "notes", "hazard", "description", "photos"}) {
      const Column* texts = rows.find(column);
      for (std::size_t row = 0; texts != nullptr && row < rows.rows(); ++row) {
        const std::string word(trim(texts->textAt(row)));
        if (word.size() >= 7) words.insert(word);
      }
    }
    for (std::size_t row = 0; rows.find("lon") != nullptr && row < rows.rows(); ++row) {
      for (const char* column : {"lon", "lat"}) {
        const std::string text(rows.find(column)->asText(row));
        if (text.size() < 7) continue;
        const double value = std::stod(text);
        words.insert(text);
        words.insert(std::string(reinterpret_cast<const char*>(&value), sizeof value));
      }
    }
  }
  return words;
}

/// How many times any of the words stands in files of the folder; the first few for the message. All words have seven bytes or more: by the first
/// seven each place of a file is looked up once, whatever their number.
std::size_t found(const fs::path& folder, const std::set<std::string>& words, std::string& where) {
  constexpr std::size_t kStart = 7;
  const auto start = [](const char* at) {
    std::uint64_t bytes = 0;
    std::memcpy(&bytes, at, kStart);
    return bytes;
  };
  std::unordered_multimap<std::uint64_t, std::string> by_start;
  for (const auto& word : words) by_start.emplace(start(word.data()), word);
  std::size_t hits = 0;
  for (const auto& file : filesIn(folder)) {
    const std::string bytes = *readFile(file);
    for (std::size_t at = 0; at + 8 <= bytes.size(); ++at) {
      const auto [from, to] = by_start.equal_range(start(bytes.data() + at));
      for (auto one = from; one != to; ++one) {
        if (bytes.compare(at, one->second.size(), one->second) != 0) continue;
        if (++hits <= 5) where += file.string() + ": " + one->second + "\n";
      }
    }
  }
  return hits;
}

TEST(SealedStudy, ACopyOfItsFolderTellsNothingAndTheTeamWorksOn) {
  const StudyFolder study = townStudy();
  takeInTownRecords(study);
  ASSERT_EQ(study.call("changed", {"--as-of", "2025-06-30"}).status, 0);  // a frozen day
  ASSERT_EQ(study.call("run").status, 0);
  const auto words = privateWords();
  ASSERT_GT(words.size(), 500U);
  std::string where;
  ASSERT_GT(found(study.path(), words, where), 500U) << "the search must be able to find something";

  put(study.path() / "notes of mine.txt", "nothing");
  const Ran sealed = callWith(study, std::string(kPhrase) + "\n", "seal", {"--json"});
  ASSERT_EQ(sealed.status, 0) << sealed.err;
  const auto said = nlohmann::json::parse(sealed.out);
  EXPECT_EQ(said["sealed"].size(), 2U) << "ledger and frozen day";
  EXPECT_THAT(said["in_the_clear"].dump(), HasSubstr("notes of mine.txt"));
  where.clear();
  EXPECT_EQ(found(study.path(), words, where), 0U) << where;

  // Without it, with a wrong one.
  for (const char* verb : {"run", "due", "next", "settle"}) {
    const Ran shut = study.call(verb);
    EXPECT_EQ(shut.status, 2) << verb;
    EXPECT_THAT(shut.err, HasSubstr("--passphrase-fd")) << verb;
  }
  const Ran wrong = callWith(study, "gravel umbrella seven lanterns\n", "due");
  EXPECT_EQ(wrong.status, 2);
  EXPECT_THAT(wrong.err, HasSubstr("does not open this study"));
  EXPECT_THAT(wrong.err, HasSubstr("can't be replaced"));

  // With it the study says the same as one that was never sealed; sheets go elsewhere.
  ASSERT_EQ(callWith(study, std::string(kPhrase) + "\n", "run").status, 0);
  EXPECT_TRUE(!fs::exists(study.path() / "out") || fs::is_empty(study.path() / "out"));
  EXPECT_EQ(callWith(study, std::string(kPhrase) + "\n", "run", {"-o", (study.path() / "sheets").string()}).status, 2);
  ASSERT_EQ(callWith(study, std::string(kPhrase) + "\n", "run", {"-o", study.beside("sheets").string()}).status, 0);
  EXPECT_TRUE(isPrivate(study.beside("sheets") / "board.pdf"));
  const StudyFolder plain = townStudy();
  takeInTownRecords(plain);
  EXPECT_EQ(callWith(study, std::string(kPhrase) + "\n", "next", {"--json"}).out, plain.call("next", {"--json"}).out);
  EXPECT_EQ(callWith(study, std::string(kPhrase) + "\n", "due", {"-o", (study.path() / "due.csv").string()}).status, 2);
  ASSERT_EQ(callWith(study, std::string(kPhrase) + "\n", "hand-over", {"-o", study.beside("out").string()}).status, 0);

  // Rows that are refused are told, and listed only elsewhere.
  const auto bad = put(study.beside("more.csv"), "visit_id,date,address,look,why_here,household\nB1,2025-13-45,77 Unheard Of Ln,knock,planned,Quillfeather Family\nB2,2025-09-01,3 Alder St,knock,planned,Merriwether Family\n");
  const Ran more = callWith(study, std::string(kPhrase) + "\n", "take-in", {"visits", bad, "--json"});
  ASSERT_EQ(more.status, 0) << more.err;
  EXPECT_EQ(nlohmann::json::parse(more.out)["refused_file"], "");
  ASSERT_EQ(callWith(study, std::string(kPhrase) + "\n", "backup", {(study.path() / "copy.sqlite").string()}).status, 0);
  auto all = words;
  all.insert({"Quillfeather", "Merriwether", "77 Unheard Of Ln"});
  where.clear();
  EXPECT_EQ(found(study.path(), all, where), 0U) << where;
  {
    // While it is open as well: the write-ahead log, its index.
    ASSERT_OK(unseal(study.ledger(), Secret(kPhrase)));
    auto open = Ledger::open(study.ledger());
    ASSERT_OK(open);
    ASSERT_OK(open->setSetting("note", "Quillfeather"));
    where.clear();
    EXPECT_EQ(found(study.path(), all, where), 0U) << where;
  }

  // Another passphrase, and the seal off for good.
  ASSERT_EQ(callWith(study, std::string(kPhrase) + "\nharbour pencil oat thirteen\n", "seal", {"--change"}).status, 0);
  EXPECT_EQ(callWith(study, std::string(kPhrase) + "\n", "due").status, 2);
  ASSERT_EQ(callWith(study, "harbour pencil oat thirteen\n", "due").status, 0);
  ASSERT_EQ(callWith(study, "harbour pencil oat thirteen\n", "seal", {"--open"}).status, 0);
  EXPECT_EQ(study.call("run").status, 0);
  EXPECT_EQ(study.call("seal", {"--change"}).status, 2) << "it isn't sealed";
}

}  // namespace
}  // namespace leeward::test
