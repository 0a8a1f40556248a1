#pragma once
/// The verbs, one file each; each adds itself to the command line and runs when it was chosen.
namespace CLI {
class App;
}

namespace leeward::command {
class Terminal;

void addParse(CLI::App& app, Terminal& terminal);
void addPlace(CLI::App& app, Terminal& terminal);
void addCluster(CLI::App& app, Terminal& terminal);
void addLocate(CLI::App& app, Terminal& terminal);
void addApportion(CLI::App& app, Terminal& terminal);
void addZonal(CLI::App& app, Terminal& terminal);
void addSmooth(CLI::App& app, Terminal& terminal);
void addHotspots(CLI::App& app, Terminal& terminal);
void addRegress(CLI::App& app, Terminal& terminal);
void addClasses(CLI::App& app, Terminal& terminal);
void addDensity(CLI::App& app, Terminal& terminal);
void addFeelsLike(CLI::App& app, Terminal& terminal);
void addLasting(CLI::App& app, Terminal& terminal);
void addScan(CLI::App& app, Terminal& terminal);
void addTrend(CLI::App& app, Terminal& terminal);

void addNew(CLI::App& app, Terminal& terminal);
void addTakeIn(CLI::App& app, Terminal& terminal);
void addTemplate(CLI::App& app, Terminal& terminal);
void addTakeBack(CLI::App& app, Terminal& terminal);
void addSettle(CLI::App& app, Terminal& terminal);
void addRun(CLI::App& app, Terminal& terminal);
void addNext(CLI::App& app, Terminal& terminal);
void addChanged(CLI::App& app, Terminal& terminal);
void addDue(CLI::App& app, Terminal& terminal);
void addStock(CLI::App& app, Terminal& terminal);
void addSheet(CLI::App& app, Terminal& terminal);
void addBrief(CLI::App& app, Terminal& terminal);
void addHandOver(CLI::App& app, Terminal& terminal);
void addTrace(CLI::App& app, Terminal& terminal);
void addForget(CLI::App& app, Terminal& terminal);
void addSeal(CLI::App& app, Terminal& terminal);
void addBackup(CLI::App& app, Terminal& terminal);
void addView(CLI::App& app, Terminal& terminal);

/// `manual` and `completion`: hidden verbs that the build calls.
void addDescribe(CLI::App& app, Terminal& terminal);

}  // namespace leeward::command
