/// The window on a study of any size: time to the first map, pictures a second while it is moved, a full repaint, one weight moved, most memory.
/// leeward-window-bench STUDY [--picture FILE.png]; 1920 x 1080, software painting; the study up to date (leeward run STUDY) and its files in the page cache.
#include <QApplication>
#include <QElapsedTimer>
#include <QStandardPaths>
#include <QTest>
#include <algorithm>
#include <cstring>
#include <fstream>
#include <functional>
#include <iostream>
#include <string>
#include <vector>

#include "viewer/draw/type.h"
#include "viewer/window/map_canvas.h"
#include "viewer/window/style.h"
#include "viewer/window/workbench.h"

namespace {

using leeward::window::Workbench;

constexpr int kLongest_ms = 300'000;

double mostMemory_MB() {
  std::ifstream status("/proc/self/status");
  for (std::string line; std::getline(status, line);) {
    if (line.starts_with("VmHWM:")) return std::stod(line.substr(6)) / 1024;
  }
  return 0;
}

void tell(const char* what, double value, const char* unit) { std::cout << what << ": " << value << ' ' << unit << std::endl; }

double msUntil(const std::function<bool()>& reached) {
  QElapsedTimer timer;
  timer.start();
  if (!QTest::qWaitFor(reached, kLongest_ms)) std::cout << "not within five minutes\n";
  return static_cast<double>(timer.nsecsElapsed()) / 1e6;
}

/// The picture is moved a step at a time, and each step is on the screen before the next.
void moveMap(leeward::window::MapCanvas& map) {
  constexpr int kSteps = 120;
  QElapsedTimer timer;
  std::vector<double> steps;
  for (int i = 0; i < kSteps; ++i) {
    timer.start();
    QTest::keyClick(&map, i % 2 == 0 ? Qt::Key_Left : Qt::Key_Right);
    map.repaint();
    steps.push_back(static_cast<double>(timer.nsecsElapsed()) / 1e6);
  }
  std::ranges::sort(steps);
  tell("a step of the moved picture, median", steps[kSteps / 2], "ms");
  tell("a step of the moved picture, 95th percentile", steps[kSteps * 95 / 100], "ms");
}

}  // namespace

int main(int argc, char** argv) {
  QElapsedTimer since_start;
  since_start.start();
  if (argc < 2) {
    std::cerr << "leeward-window-bench STUDY [--picture FILE.png]\n";
    return 1;
  }
  if (!qEnvironmentVariableIsSet("QT_QPA_PLATFORM")) qputenv("QT_QPA_PLATFORM", "offscreen");
  leeward::draw::quietQt();
  QStandardPaths::setTestModeEnabled(true);
  QApplication application(argc, argv);
  leeward::window::applyStyle(application);
  Workbench window;
  window.resize(1920, 1080);
  window.show();
  window.openStudy(argv[1]);
  auto& map = *window.findChild<leeward::window::MapCanvas*>("map");
  msUntil([&] { return window.hasStudy(); });
  tell("findings read", static_cast<double>(since_start.elapsed()), "ms");
  msUntil([&] { return map.hasPicture(); });
  tell("first map", static_cast<double>(since_start.elapsed()), "ms");
  tell("and all pages ready", static_cast<double>(since_start.elapsed()) + msUntil([&] { return window.isSettled(); }), "ms");
  tell("most memory", mostMemory_MB(), "MB");
  for (const char* question : {"been", "need", "changed", "due", "next"}) {
    window.chooseQuestion(QString::fromLatin1(question));
    tell(question, msUntil([&] { return window.isSettled(); }), "ms to its map");
  }
  if (argc > 3 && std::strcmp(argv[2], "--picture") == 0) window.grab().save(QString::fromLocal8Bit(argv[3]));
  moveMap(map);
  msUntil([&] { return window.isSettled(); });
  QTest::keyClick(&map, Qt::Key_Home);
  tell("full repaint of the whole", msUntil([&] { return map.isPainted(); }), "ms");
  auto& reweigher = window.room().reweigher();
  for (const double hours : {5.0, 6.0, 7.0}) {
    leeward::study::WhatIf wanted = reweigher.whatIf();
    wanted.hours = hours;
    const auto before = reweigher.findings();
    reweigher.set(wanted);
    const double means = msUntil([&] { return reweigher.findings() != before; });
    tell("hours moved, means", means, "ms");
    tell("hours moved, certainty", means + msUntil([&] { return reweigher.isCertain(); }), "ms");
  }
  tell("most memory in all", mostMemory_MB(), "MB");
  return 0;
}
