/// Trains the parser's weights and prints its figures:
///   leeward_train_tagger labeled.xml [weights.inc]
/// Without a second argument: rules alone, and learned by 5-fold cross-validation, with the strings that fail.
#include <fstream>
#include <iostream>

#include "tests/reference/place/trainer.h"

using namespace leeward;

namespace {

void writeWeights(const analysis::TaggerWeights& weights, const char* file) {
  std::ofstream out(file);
  const std::string text = weights.encode();
  for (std::size_t i = 0; i < text.size(); i += 120) out << '"' << text.substr(i, 120) << "\"\n";
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 2) return 2;
  const auto strings = test::readLabeled(argv[1]);
  std::vector<const test::LabeledString*> all;
  for (const auto& string : strings) all.push_back(&string);
  if (argc > 2) {
    const auto weights = test::trainTagger(all, {});
    std::cout << weights.size() << " weights\n";
    writeWeights(weights, argv[2]);
    return 0;
  }
  int by_rules = 0;
  int learned = 0;
  for (int fold = 0; fold < 5; ++fold) {
    std::vector<const test::LabeledString*> training;
    for (const auto* string : all) {
      if (test::foldOf(*string, 5) != fold) training.push_back(string);
    }
    const auto weights = test::trainTagger(training, {});
    for (const auto* string : all) {
      if (test::foldOf(*string, 5) != fold) continue;
      const std::string truth = test::labelTrack(string->words);
      by_rules += test::labelTrack(analysis::parseWith(string->text, nullptr)) == truth;
      const auto parsed = analysis::parseWith(string->text, &weights);
      if (test::labelTrack(parsed) == truth) {
        ++learned;
        continue;
      }
      for (const auto& token : parsed.tokens) std::cout << token.text << '/' << analysis::labelName(token.label) << ' ';
      std::cout << "\n   ";
      for (const auto& [label, word] : string->words) std::cout << word << '/' << analysis::labelName(label) << ' ';
      std::cout << '\n';
    }
  }
  const double n = static_cast<double>(all.size());
  std::cout << "rules " << by_rules / n << ", learned " << learned / n << " of " << all.size() << '\n';
  return 0;
}
