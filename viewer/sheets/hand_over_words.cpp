#include "viewer/sheets/hand_over_words.h"

#include <fmt/format.h>

#include "shared/base/text.h"
#include "viewer/sheets/paper.h"
#include "viewer/study/run/rows.h"

namespace leeward::sheets {
namespace {

/// Paragraphs broken at some 96 letters.
std::string wrapped(const std::string& text) {
  constexpr std::size_t kWidth = 96;
  std::string out;
  std::size_t line = 0;
  for (const auto word : split(text, ' ')) {
    if (line > 0 && line + 1 + word.size() > kWidth) out += "\n", line = 0;
    if (line > 0) out += " ", ++line;
    out += word;
    line += word.size();
  }
  return out + "\n";
}

std::string sourcesOf(const study::HandOverDraft& draft) {
  std::string text;
  for (const auto& source : draft.sources) {
    text += "- " + source.label + (source.year.empty() ? "" : ", " + source.year) + (source.licence.empty() ? "" : " (" + source.licence + ")") + "\n";
  }
  return text + "- the team's own records" + (draft.record_begins.empty() ? "" : ", which begin on " + draft.record_begins) + "\n";
}

std::string figuresWords(const study::HandOverDraft& draft) {
  std::string text = "\nareas.csv, areas.xlsx: a row an area and period\n\n";
  text += wrapped("looks: every effort to see a home (a knock, a view from the street, a call, a passing). visits: those with permission. dogs_first_met, given_up (to the team), improved, "
                  "neutered, referred (to an authority): dogs, each counted once, in the period of its first such event, so that the columns add up over areas and periods. "
                  "visits_per_100_looks: where both may be told.");
  text += "\n" + wrapped("Improved: " + draft.improved_rule);
  text += "\n" + wrapped(fmt::format("Counts of 1 to {} are withheld, and with them as many others as it takes so that none of them can be worked out from sums, from years or from earlier "
                                     "figures. A withheld count is an empty cell, named in the column \"withheld\". A zero is told. Areas: {}. Only periods that are over are told, and a figure once told "
                                     "is not changed later, though records may be.",
                                     draft.threshold - 1, lowerAscii(draft.areas.words)));
  for (const auto& remark : draft.areas.remarks) text += "\n" + wrapped(remark);
  return text;
}

std::string placesWords(const study::HandOverDraft& draft) {
  if (draft.places.points.rows() == 0) return "\nNo places are told: none could be moved so that it is safe.\n";
  const bool is_public = draft.audience == "public";
  return "\nplaces.geojson, places.gpkg: a point a home that was visited\n\n" +
         wrapped(fmt::format("NO POINT IS WHERE THE HOME IS. Each was moved, once and for all releases, into a ring about the home by a secret draw (donut masking, Hampton et al. 2010), so that at least {} "
                             "other homes lie nearer to it than the true one (counted, Allshouse et al. 2010). A house beside a point has nothing to do with it. {} homes are left out, most of them because they stand too much alone, "
                             "and so are those first visited in a year that isn't over. {}Coordinates: {}.",
                             draft.places.least_nearer, draft.places.withheld.size(), is_public ? "" : "first_visit: the year of the first visit. ", draft.places.points.crs.isLocal() ? "plane metres" : "longitude and latitude (EPSG:4326)"));
}

}  // namespace

std::string readMe(const study::HandOverDraft& draft) {
  if (draft.audience == "authority") {
    return std::string(kCrewStamp) + "\n\n" +
           wrapped(fmt::format("{}: record of one case, figures of {}. case.xlsx has a row a look, a check (as found, as left) and a referral. It is for the authority that deals with this case and for nobody "
                               "else. Notes, telephone numbers and pictures are not in it: the team hands over what the case needs. A check says what was seen on that day; \"not seen\" is not \"met\".",
                               draft.study, toWords(draft.as_of)));
  }
  std::string text = fmt::format("{}\nFigures of {}\n\n", draft.study, toWords(draft.as_of));
  text += wrapped("A small team visits dogs that are kept outdoors, with their people's permission, and puts right what can be put right. These files say what it did, by area.");
  text += figuresWords(draft) + placesWords(draft);
  text += "\narea-map.pdf: the latest whole year (or period) by area\n\n";
  text += "What can't be told from these files\n\n";
  text += wrapped("How many dogs there are: the team can't be everywhere, and goes where it is called. Few visits are not few dogs, and no visit is no finding. That the visits caused a change. "
                  "Who anybody is, or where a home is. This is no list for enforcement.");
  return text + "\nSources\n\n" + sourcesOf(draft);
}

std::string leadsReport(const study::HandOverDraft& draft, const std::string& folder, const std::vector<std::string>& warnings) {
  std::string text = fmt::format("{}\n\nHand-over \"{}\" for {}, figures of {}: what was withheld, and why\n\n", kCrewStamp, folder, draft.audience, toIso(draft.as_of));
  if (draft.audience == "authority") return text + fmt::format("The case of {}: {} looks, {} checks, {} referrals. Notes, telephones and pictures were left out.\n", draft.case_address, draft.case_looks.rows(), draft.case_checks.rows(), draft.case_referrals.rows());
  const auto lines = study::withheldLines(draft.counts);
  text += fmt::format("Counts: threshold {}; {} withheld\n", draft.threshold, lines.size());
  for (const auto& line : lines) text += "  " + line + "\n";
  text += fmt::format("\nPlaces: k = {} asked for; the least that any place has is {}; {} told, {} wait until the year of their first visit is over, {} withheld\n", draft.k, draft.places.least_nearer, draft.places.points.rows(), draft.places.waiting,
                      draft.places.withheld.size());
  for (const auto& line : draft.places.withheld) text += "  " + line + "\n";
  if (!warnings.empty()) text += "\nTo look at before it goes out\n";
  for (const auto& warning : warnings) text += "  " + warning + "\n";
  return text;
}

Table caseTable(const study::HandOverDraft& draft) {
  std::vector<std::string> kind, date, what;
  const auto add = [&](const Table& rows, const std::string& name) {
    for (std::size_t row = 0; row < rows.rows(); ++row) {
      std::vector<std::string> words;
      for (const auto& column : rows.columns()) {
        if (column.name() != "date" && !column.asText(row).empty()) words.push_back(column.name() + " " + column.asText(row));
      }
      kind.push_back(name), date.push_back(study::columnOf(rows, "date").asText(row)), what.push_back(join(words, "; "));
    }
  };
  add(draft.case_looks, "look"), add(draft.case_checks, "check"), add(draft.case_referrals, "referral");
  const std::vector<std::string> stamp(kind.size(), std::string(kCrewStamp)), address(kind.size(), draft.case_address);
  return study::TableMaker{}.texts("stamp", stamp).texts("address", address).texts("row", kind).texts("date", date).texts("what", what).done();
}

}  // namespace leeward::sheets
