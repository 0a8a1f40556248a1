#pragma once
// Headers that nearly every file of the window reads; precompiled to keep the build short.
#include <QApplication>
#include <QBoxLayout>
#include <QLabel>
#include <QMainWindow>
#include <QPainter>
#include <QPushButton>
#include <QWidget>

#include "shared/base/precompiled.h"
