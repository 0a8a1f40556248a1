// house_lint RULE ROOT: prints file:line and the broken rule; exit 1 if there is any, 2 if it was called wrongly.
#include <exception>
#include <iostream>
#include <map>

#include "tests/checks/lint.h"

int main(int count, char** words) {
  namespace checks = leeward::checks;
  const std::map<std::string_view, std::vector<checks::Fault> (*)(const std::vector<checks::Source>&)> rules = {
      {"includes", checks::includeFaults}, {"types", checks::typeFaults}, {"length", checks::lengthFaults}};
  const auto rule = count == 3 ? rules.find(words[1]) : rules.end();
  if (rule == rules.end()) {
    std::cerr << "usage: house_lint includes|types|length ROOT\n";
    return 2;
  }
  try {
    const auto sources = checks::readSources(words[2]);
    const auto faults = rule->second(sources);
    for (const auto& fault : faults) std::cout << fault.file << ':' << fault.line << ": " << fault.rule << '\n';
    std::cout << sources.size() << " files read, " << faults.size() << " faults\n";
    return faults.empty() ? 0 : 1;
  } catch (const std::exception& error) {
    std::cerr << error.what() << '\n';
    return 2;
  }
}
