// Makes large files for timing: visits.csv, visits.xlsx (60 columns) and addresses.csv. All invented, the same for each run.
// usage: leeward-bench-files FOLDER [visits=200000] [addresses=1000000]
#include <xlsxwriter.h>

#include <array>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "shared/base/dates.h"
#include "shared/base/random.h"
#include "shared/table/csv.h"

namespace {

using leeward::Random;

constexpr std::array kStreets{"Alder", "Birch", "Cedar", "Dogwood", "Elm", "Fir", "Ginkgo", "Hawthorn", "Ironwood", "Juniper", "Larch", "Maple"};
constexpr std::array kTypes{"St", "Ave", "Rd", "Ln", "Ct", "Dr"};
constexpr std::array kItems{"collar_fit", "collar_kind", "tether", "pen", "house", "bedding", "shade", "water", "food",
                            "area", "coat", "eyes", "ears", "gums", "nails", "parasites", "wound", "behaviour"};
constexpr std::array kLeft{"tether", "house", "bedding", "shade", "water"};
constexpr std::array kStates{"met", "met", "met", "unmet", "not seen", ""};

template <class Words>
std::string pick(const Words& words, Random& random) {
  return words[random.below(static_cast<std::uint32_t>(words.size()))];
}

std::string address(Random& random) {
  return fmt::format("{} {}{} {}", 1 + random.below(9999), pick(kStreets, random), random.below(20), pick(kTypes, random));
}

std::vector<std::string> headings() {
  std::vector<std::string> all{"visit_id", "date", "time", "crew", "address", "place", "postcode", "lon", "lat", "look", "why_here", "door_result",
                               "permission_by", "permission_how", "permission_for", "permission_until", "note_left", "dogs_seen", "dogs_met",
                               "dog_name", "kind", "sex", "age", "altered", "description", "body_condition", "body_scale"};
  all.insert(all.end(), kItems.begin(), kItems.end());
  for (const char* item : kLeft) all.push_back(std::string("left_") + item);
  for (const char* last : {"done", "treatment", "promised", "return_by", "outcome", "referred_to", "notes", "hazard", "household", "phone"}) all.emplace_back(last);
  return all;
}

std::vector<std::string> visit(std::size_t number, Random& random) {
  const leeward::Date day = *leeward::makeDate(2022, 1, 1) + static_cast<int>(number * 1400 / 200000 % 1400);
  const bool met = random.uniform() < 0.55;
  const auto some = [&](double share, std::string text) { return random.uniform() < share ? text : std::string(); };
  std::vector<std::string> row{fmt::format("v{:07}", number), leeward::toIso(day), fmt::format("{:02}:{:02}", 8 + random.below(10), random.below(60)),
                               fmt::format("crew {}", 1 + random.below(5)), address(random), "Sampleton", fmt::format("{:05}", 10000 + random.below(40)),
                               fmt::format("{:.6f}", -90 + random.uniform() * 0.3), fmt::format("{:.6f}", 38 + random.uniform() * 0.3), "knock",
                               random.uniform() < 0.5 ? "planned" : "return", met ? "welcomed" : "nobody home", met ? "owner" : "", met ? "door" : "",
                               met ? "enter; handle" : "", "", met ? "no" : "yes", met ? "1" : "0", met ? "1" : "0"};
  const auto dog = [&](std::string text) { return met ? std::move(text) : std::string(); };
  for (const std::string& text : {fmt::format("Dog{}", random.below(500)), std::string("dog"), std::string(random.below(2) == 0 ? "f" : "m"),
                                  fmt::format("{}", 1 + random.below(12)), std::string("no"), some(0.5, "brown with white chest, shy"),
                                  fmt::format("{}", 1 + random.below(5)), std::string("five_ideal_first")}) {
    row.push_back(dog(text));
  }
  for (std::size_t i = 0; i < kItems.size() + kLeft.size(); ++i) row.push_back(dog(pick(kStates, random)));
  row.push_back(dog(some(0.4, "straw 2; swivel 1")));
  row.push_back(dog(some(0.1, "dewormer|L12|18 kg")));
  row.push_back(some(0.2, "bring straw"));
  row.push_back(some(0.2, leeward::toIso(day + 30)));
  row.push_back(dog(some(0.05, "neutered")));
  row.emplace_back();
  row.push_back(some(0.3, "gate on the left, owner works nights"));
  row.push_back(some(0.05, "loose dog next door"));
  row.push_back(some(0.3, "the household"));
  row.emplace_back();
  if (random.below(500) == 0) row[1] = "31.02.2023";  // a row to be refused
  return row;
}

void writeVisits(const std::filesystem::path& folder, std::size_t count) {
  std::ofstream csv(folder / "visits.csv");
  lxw_workbook_options options{};
  options.constant_memory = LXW_TRUE;
  lxw_workbook* book = workbook_new_opt((folder / "visits.xlsx").c_str(), &options);
  lxw_worksheet* sheet = workbook_add_worksheet(book, "visits");
  Random random(1);
  for (std::size_t number = 0; number <= count; ++number) {
    const auto row = number == 0 ? headings() : visit(number, random);
    for (std::size_t i = 0; i < row.size(); ++i) {
      csv << (i == 0 ? "" : ",") << leeward::csvField(row[i]);
      if (!row[i].empty()) worksheet_write_string(sheet, static_cast<lxw_row_t>(number), static_cast<lxw_col_t>(i), row[i].c_str(), nullptr);
    }
    csv << '\n';
  }
  workbook_close(book);
}

void writeAddresses(const std::filesystem::path& folder, std::size_t count) {
  std::ofstream csv(folder / "addresses.csv");
  csv << "id,number,street,unit,place,postcode,lon,lat\n";
  Random random(2);
  for (std::size_t i = 0; i < count; ++i) {
    csv << fmt::format("p{:07},{},{}{} {},{},Sampleton,{:05},{:.6f},{:.6f}\n", i, 1 + random.below(9999), pick(kStreets, random), random.below(400),
                       pick(kTypes, random), random.below(10) == 0 ? "Apt 2" : "", 10000 + random.below(40), -90 + random.uniform() * 0.3, 38 + random.uniform() * 0.3);
  }
}

}  // namespace

int main(int count, char** arguments) {
  if (count < 2) return fmt::print(stderr, "usage: {} FOLDER [VISITS] [ADDRESSES]\n", arguments[0]), 2;
  const std::filesystem::path folder = arguments[1];
  std::filesystem::create_directories(folder);
  writeVisits(folder, count > 2 ? std::stoul(arguments[2]) : 200'000);
  writeAddresses(folder, count > 3 ? std::stoul(arguments[3]) : 1'000'000);
  return 0;
}
